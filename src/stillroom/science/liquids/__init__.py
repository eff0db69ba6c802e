"""Spirit: density, strength, dilution, mixing, boiling and simple distillation of ethanol-water.

Nothing here can tell methanol from ethanol: neither can an alcoholometer.
"""
