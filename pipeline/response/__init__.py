"""From rows to answers: plot seasons, what each garden saw, the network, the gradient."""
