"""Plain geometry that every part of the plan is made of: the frame, meshes, shapes, lofts."""
