"""Where cuts go: patterns for plates, how often each, and the bound beside them."""
