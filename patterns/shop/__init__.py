"""Tables, reports and pictures for the shop."""
