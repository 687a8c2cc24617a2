"""The pages that are worked by, with gloves on: cautions, how the torch is set up, the work run by run, bevels."""
