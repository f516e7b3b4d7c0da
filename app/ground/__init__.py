"""Common ground of all rooms: book, people, forms, pages, papers, photos."""
