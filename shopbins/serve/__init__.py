"""The app in a browser on the shop's own network, shut to everybody without this evening's key."""
