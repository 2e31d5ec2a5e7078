"""Step 7, materials: takeoff, roll and coil plan, labour, prices, estimate, carting."""
