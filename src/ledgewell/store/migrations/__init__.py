"""How the tables came to be, one step a version; data of every earlier version is carried along."""
