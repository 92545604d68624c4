"""The pages of the screens, without Kivy: from what is known to blocks, and from a touch to what happens."""
