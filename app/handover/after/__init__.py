"""After the unit has left: what falls due, retorque visits, and who says that a thing was done."""
