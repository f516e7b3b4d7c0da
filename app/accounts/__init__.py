"""Invoices, credit notes, payments, the close of the day: what was done is billed, what is billed is paid."""
