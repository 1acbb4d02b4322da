package style

import "fathomlux/scene/unit"

// Units is the system that lengths are shown in.
type Units = unit.System

// The systems of length.
const (
	Metric = unit.Metric
	US     = unit.US
)
