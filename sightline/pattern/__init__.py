"""From the false limb to pieces of foam: skin, seams, flat pieces, marks, sheets and the words a builder needs."""
