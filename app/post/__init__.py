"""A paper on its way out of the house: looked at as pictures, saved, handed over by e-mail."""
