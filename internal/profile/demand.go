package profile

// chance holds what the distribution of demand needs between calls.
type chance struct{ fresh bool }

func (c *chance) stale() { c.fresh = false }
