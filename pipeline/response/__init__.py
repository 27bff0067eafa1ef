"""From plots to answers: what a treatment did in each garden, over the network and along the gradient."""
