"""What the user wrote, checked: the models of the scene file, its reading and its errors."""
