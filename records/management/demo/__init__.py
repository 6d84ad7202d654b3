"""The demo shop: invented, played through the same actions that users use."""
