"""One file a record kind; `app.bench.kinds` finds them."""
