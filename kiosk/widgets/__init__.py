"""The parts the screens are made of. Each draws what it is given and keeps no state of the shop."""
