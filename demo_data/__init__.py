"""The invented Hollow Log Society: data for the practice room and the tests. None of it is a real person, bin or count."""
