"""What the members are made with: rings, flat pieces, joints, laps, knees' shapes, the faces that they land on."""
