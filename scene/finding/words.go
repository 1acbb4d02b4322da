package finding

// The words of all codes: lower case, no full stop, what it is and then what would serve. Each {} is an argument.
var (
	// Wiring.
	StringsNotServing = &Code{"strings-not-serving", Note, "{}, which the scene asks for, do not serve these modules"}
	DriverNotServing  = &Code{"driver-not-serving", Note, "driver {}, which the scene asks for, does not serve these modules"}
)
