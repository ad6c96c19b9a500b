"""From a piece of wood to the record of its drawing."""
