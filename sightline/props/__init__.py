"""What is carried, worn and pretended: prop, false limbs, rig, costume, puppet, and plain shapes."""
