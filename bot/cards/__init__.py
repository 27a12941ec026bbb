"""How results are said: a module per subject turns a service's result into a `Card`; `render` turns cards into chat."""
