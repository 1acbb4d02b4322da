package finding

// The words of all codes: lower case, no full stop, what it is and then what would serve. Each {} is an argument.
var (
	// Scene files and their goal.
	KeyRenamed = &Code{"key-renamed", Warning,
		"{} is called {} now; this version still reads the old name, the next will not"}
	NoGoal         = &Code{"no-goal", Warning, "no goal is given; nothing can be judged as met or not"}
	EmptyGoal      = &Code{"empty-goal", Warning, "the goal asks for nothing; give illuminance, ppfd, dli or uniformity"}
	NoHours        = &Code{"no-hours", Warning, "the light is on for 0 h a day, so no daily light integral is reached"}
	LettersUnshown = &Code{"letters-unshown", Warning, "pictures and templates show ? for {} of {}; use a name in " +
		"Latin, Greek, Cyrillic or Hebrew letters"}

	// Tank.
	WaterTooClear = &Code{"water-too-clear", Warning,
		"{} is clearer than pure water, where half of white light is left at about {}"}
	WaterNearRim   = &Code{"water-near-rim", Warning, "the water ends only {} below the rim"}
	DiffuseIsPaint = &Code{"diffuse-is-paint", Warning, "taken as paint on the glass, which ends its mirroring; write " +
		"paint for that, or film where a film or card stands behind the glass with a gap of air, which sends back more"}
	CoverTouchesWater = &Code{"cover-touches-water", Warning, "the cover touches the water"}
	HeightsFromLowest = &Code{"heights-from-lowest", Note,
		"the lowest ground is given as {}; all heights, and the water's depth, count from there, and so do rails and things"}
	BoxOutsideTank = &Code{"box-outside-tank", Warning, "the box stands outside the tank"}
	HoodTooSmall   = &Code{"hood-too-small", Warning, "the hood is {} {}, less than the {} that the rails take"}

	// Rails and modules.
	RailBelowRim = &Code{"rail-below-rim", Warning,
		"the rail reaches beyond the tank's ends but hangs {} below the rim"}
	RailBeyondEnds  = &Code{"rail-beyond-ends", Warning, "the rail reaches beyond the tank's ends: it runs from x = {}"}
	RailBeyondSides = &Code{"rail-beyond-sides", Warning,
		"the rail reaches beyond the tank's front or back: its centre line is at y = {}"}
	KeepOutOffRail = &Code{"keep-out-off-rail", Warning,
		"the keep-out from x = {} touches no part of the rail, which runs from x = {}"}
	BarsOverlap        = &Code{"bars-overlap", Obstacle, "the bars of {} and {} overlap; move one of them"}
	BoardsOverlap      = &Code{"boards-overlap", Obstacle, "the boards at x = {} and {} of {} overlap"}
	ModulesBeyondEnd   = &Code{"modules-beyond-end", Obstacle, "{} beyond the end of {}"}
	ModulesInKeepOut   = &Code{"modules-in-keep-out", Obstacle, "{} in the keep-out from x = {}{} of {}"}
	ModulesOutsideTank = &Code{"modules-outside-tank", Warning, "{} outside the tank"}

	// Arrangements.
	CurrentsUnfed = &Code{"currents-unfed", Note,
		"currents left out for lack of a driver: {}; at the last of them: {}"}
	CurrentsTooLow = &Code{"currents-too-low", Note,
		"no current to choose from comes as close to the goal's mean as the scene's own, which is kept"}
	PlacementStays = &Code{"placement-stays", Note, "{}, which no other arrangement on them can change"}
	AsItIs         = &Code{"as-it-is", Note, "as it is, {}"}

	// Parts.
	BeamTooWide         = &Code{"beam-too-wide", Warning, "the beam of {} is wider than 170°"}
	CurrentAboveHighest = &Code{"current-above-highest", Warning, "{} is above the highest current of {}, {}"}
	PerimeterShort      = &Code{"perimeter-short", Warning,
		"{} is less than both sides of a bar of {} by {}; is one side covered?"}
	OutputEndsEarly = &Code{"output-ends-early", Warning,
		"output ends at {} per die, below what the module's highest current, {}, gives each die"}
	LightAbovePower = &Code{"light-above-power", Warning, "{} lm with the spectrum {} ({}) are {} of radiant " +
		"power, more than the {} that a die takes; flux, voltage or spectrum is wrong, and the heat comes out too low"}
	EfficiencyOff = &Code{"efficiency-off", Warning, "a radiant efficiency of {} does not agree with the flux, which " +
		"with the spectrum {} ({}) makes it {}; the heat is computed from the flux"}
	EfficacyRises = &Code{"efficacy-rises", Warning,
		"{} here and {} in the row before; the efficacy of a die falls as its current rises"}
	OpticDarkMiddle = &Code{"optic-dark-middle", Warning,
		"the distribution of {}, {}, has no light on its axis and so no beam angle"}
	OpticShinesUp = &Code{"optic-shines-up", Warning,
		"{} of the light of {}, {}, goes above its horizon and counts as spill"}
	OpticUnreadable = &Code{"optic-unreadable", Warning, "the distribution of {}, which no rail uses: {}"}

	// Measured distributions.
	RevisionMissing = &Code{"revision-missing", Warning,
		"keywords, but no first line that names the revision; the file is taken as IESNA:LM-63-1995"}
	RevisionUnknown = &Code{"revision-unknown", Warning,
		"the first line {} names no known revision; the file is taken as IESNA:LM-63-1995"}
	LineTakenAs    = &Code{"line-taken-as", Warning, "the line {} is taken as {}"}
	TiltFileUnread = &Code{"tilt-file-unread", Warning, "the tilt factors of the file {} are not read"}
	TiltUnused     = &Code{"tilt-unused", Warning, "the tilt factors, made for discharge lamps, are not applied"}
	LumensOdd      = &Code{"lumens-odd", Warning,
		"{} lumens of one lamp (field 2) have no meaning; -1 stands for absolute photometry"}
	OpeningLarge       = &Code{"opening-large", Warning, "{} is {}; feet and metres (field 7) may be mixed up"}
	InputWattsNegative = &Code{"input-watts-negative", Warning, "{} input watts (field 13) are impossible"}
	Field12NoType      = &Code{"field-12-no-type", Warning,
		"field 12 is {}, which is not a file generation type of 2019 (1.00000 to 1.11100); it is not applied"}
	Field12NotOne = &Code{"field-12-not-one", Warning, "field 12 is {} where the revision of {} has 1; it is not applied"}
	CircleOpen    = &Code{"circle-open", Warning,
		"the horizontal angles end at {} without 360; the circle is closed with the data at 0"}
	CircleDiffers = &Code{"circle-differs", Warning, "the values at horizontal angle 360 differ from those at 0, first " +
		"at vertical angle {}; each is used as written"}
	IntensitiesNegative = &Code{"intensities-negative", Warning,
		"{} intensities are slightly negative, as by rounding; they count as 0"}
	ZerosTrailing = &Code{"zeros-trailing", Warning, "{} zeros follow the last candela value; they are left out"}
	AnglesEndLit  = &Code{"angles-end-lit", Warning,
		"the vertical angles end at {}°, where there are still {} cd ({} of the peak); beyond it is dark"}
	PlanesDisagree = &Code{"planes-disagree", Warning,
		"the planes disagree straight down, from {} to {} cd, although that is a single direction"}

	// Fits to light meters.
	AbsorptionNotFitted = &Code{"absorption-not-fitted", Note, "absorption is not fitted: {}"}
	ImmersionUnstated   = &Code{"immersion-unstated", Warning,
		"nothing says whether {} was calibrated in air or in water; its readings are taken as they are, though under water " +
			"those of one calibrated in air count some {} times: add a column calibrated with air or water, or immersion with " +
			"the maker's factor"}
	ImmersionAssumed = &Code{"immersion-assumed", Warning, "{} was calibrated in air; its readings count {} times, the " +
		"immersion factor of common heads (common practice, no published source; 1.2 to 1.4); put the maker's factor in a " +
		"column immersion"}
	ReadingsFew = &Code{"readings-few", Note,
		"{} are too few to fit the water's absorption too; {} at two depths or more are needed"}
	PlacesFew = &Code{"places-few", Note, "readings at {} are too few to fit the water's absorption too, however often " +
		"each was read; {} at two depths or more are needed"}
	OneDepth = &Code{"one-depth", Note, "no sensor was read at two depths, so that weak light cannot be told from " +
		"cloudy water; take readings with one sensor at another depth"}
	DepthsNear = &Code{"depths-near", Note,
		"the readings span only {} of depth, too little to fit the water's absorption; {} or more are needed"}
	FactorStrange = &Code{"factor-strange", Warning, "{} shows {} times the light of the scene, which is more than " +
		"ageing, dust or the meter can explain (common practice, no published source); before you trust the fit, check " +
		"the unit of the readings and the modules' part and current, and look for dead modules"}
	WaterClearest = &Code{"water-clearest", Note, "the fitted water is as clear as pure water, which is the limit of " +
		"the fit: only the upper end of the interval is reliable"}
	ReadingsDisagree = &Code{"readings-disagree", Warning,
		"more than a quarter of the readings lie far from any fit: the scene " +
			"does not describe this tank (heights, optics, a dead module?); none was left out, and the factors are unreliable"}
	OutliersLeftOut = &Code{"outliers-left-out", Note, "outliers left out: {}"}
	OutlierReading  = &Code{"outlier-reading", Note, "line {} ({}, {})"}
	ResidualsWide   = &Code{"residuals-wide", Note, "the residual standard deviation of the readings is {}, more than " +
		"the {} that was stated; the intervals are based on it"}
	CosineErrorWidens = &Code{"cosine-error-widens", Note,
		"a cosine error of up to {} widens the intervals like a standard error of {}; it changes no fitted value"}
	FactorPerSensor = &Code{"factor-per-sensor", Note,
		"each of the {} has its own factor; the scene takes their geometric mean"}
	PlacesDark    = &Code{"places-dark", Note, "no light is computed at {}; readings there do not count"}
	DepthsRounded = &Code{"depths-rounded", Note, "readings at more than {} are computed at depths rounded to {}"}
	RowsUnfilled  = &Code{"rows-unfilled", Note, "{} without a value left out"}
	LightFitted   = &Code{"light-fitted", Note, "the light is {} times what the scene says ({} to {}){}; the residual " +
		"standard deviation is {}, and before the fit the readings were {} off"}
	AbsorptionFitted = &Code{"absorption-fitted", Note,
		", and the water absorbs {} 1/m {} (extra absorption {}, from {} to {} 1/m)"}

	// Tolerances.
	TailsGuessed = &Code{"tails-guessed", Warning,
		"{} gives a beam angle and no field angle: how much light goes far off its axis is a guess, which moves the lowest " +
			"values most; give field from its data sheet, or a measured file"}
	BeamsMeasured = &Code{"beams-measured", Note, "the beams of measured optics are not varied"}
	WaterAsPure   = &Code{"water-as-pure", Note,
		"the water is nearly as clear as pure water, so its absorption can mostly only be higher"}
	AbsorptionCut = &Code{"absorption-cut", Note, "the absorption varies by {} downwards and by {} upwards: any " +
		"lower, the water would absorb less red light than pure water does"}
	AboveInterval = &Code{"above-interval", Note, "computed above its interval: {}; the scene is at an optimum, which " +
		"nearly any deviation makes worse, so expect less from the built tank"}
	BuiltWithin = &Code{"built-within", Note,
		"built within its tolerances, the {} gets {} to {} on average and U0 {} to {} ({} of {}){}{}"}
	SamplesMeet = &Code{"samples-meet", Note, "; {} of them meet the goal"}
	OneSource   = &Code{"one-source", Note,
		"; most of the spread comes from {}: {} of the variance of the mean, {} of that of U0"}
	TwoSources = &Code{"two-sources", Note, "; the mean depends most on {} ({} of its variance), U0 on {} ({})"}

	// Goals.
	MeanBelow        = &Code{"mean-below", Warning, "{} {} of {} is below {}"}
	MeanAbove        = &Code{"mean-above", Warning, "{} {} of {} is above {}"}
	UniformityBelow  = &Code{"uniformity-below", Warning, "{} uniformity U0 of {} is below {}"}
	ColourOff        = &Code{"colour-off", Warning, "{} light of {} is {} from {}, more than {}"}
	NoTemperature    = &Code{"no-colour-temperature", Warning, "{} light has no colour temperature, {} is asked for"}
	ColourUneven     = &Code{"colour-uneven", Warning, "{} colour is up to {} from its mean, more than {}"}
	ColourMix        = &Code{"colour-mix", Note, "with the modules of {} at {} of their light, the {} would have {}"}
	NoLight          = &Code{"no-light", Warning, "no light reaches the {} at all"}
	LightGets        = &Code{"light-gets", Note, "the {} gets {} on average, uniformity U0 (min/mean) {}{}"}
	GoalMet          = &Code{"goal-met", Note, ": the goal is met"}
	PartsMet         = &Code{"parts-met", Note, "all {} parts of the goal are met"}
	PartsMetNotBuilt = &Code{"parts-met-not-built", Obstacle,
		"all {} parts of the goal are met, but the light cannot be built like this: {}"}
	PartsMissed     = &Code{"parts-missed", Warning, "the goal is not met, {} of its {} parts are: {}"}
	GoalMetNotBuilt = &Code{"goal-met-not-built", Obstacle,
		", as the goal asks, but the light cannot be built like this: {}"}
	GoalMissed   = &Code{"goal-missed", Warning, ", but the goal is not met: {}{}"}
	NoGoalEven   = &Code{"no-goal-even", Note, ": no goal is set, and no place is dark"}
	NoGoalUneven = &Code{"no-goal-uneven", Note, ": no goal is set; the light is uneven{}"}
	Darkest      = &Code{"darkest", Note, "; it is dark {}, down to {} at x {}, y {}{}"}
	DarkPlaces   = &Code{"dark-places", Note, " (one of {})"}

	// Studies.
	NoneComputed  = &Code{"none-computed", Obstacle, "none was computed"}
	NoneBuildable = &Code{"none-buildable", Obstacle, "no candidate can be built: {}"}
	SomeUnbuilt   = &Code{"some-unbuilt", Note, "{} of {} cannot be built, such as: {}"}
	CandidateGets = &Code{"candidate-gets", Note, "{} (mean {}, U0 {})"}
	LacksOf       = &Code{"lacks-of", Note, "{}: {}"}
	FirstPart     = &Code{"first-part", Note, "light is that of {}, the first of the goal's {} parts; all of them " +
		"have to be met"}
	GoalUnset   = &Code{"goal-unset", Note, "its scene sets no goal"}
	BestPerWatt = &Code{"best-per-watt", Note, "the highest minimum per watt has {}: {} with {}; no goal is set{}"}
	GoalMetBy   = &Code{"goal-met-by", Note,
		"the goal is met by {} of {}; the best, with the least power ({}) and then the highest minimum ({}), is {}{}"}
	GoalMetByNone = &Code{"goal-met-by-none", Warning, "no candidate meets the goal; the nearest is {}{}"}
	NearerOutdone = &Code{"nearer-outdone", Note, "{} comes nearer, but with {} both mean and dimmest " +
		"place are brighter for no more power, and half as much is spilled at most"}
	GoalMetInParts = &Code{"goal-met-in-parts", Note,
		"each part of the goal is met by some candidate, but no candidate meets them all"}
	NoneCloser   = &Code{"none-closer", Note, "it comes closest in every part of the goal that it misses"}
	HighestOfAll = &Code{"highest-of-all", Note, "the highest of all candidates: {}"}
	PlacesKept   = &Code{"places-kept", Note, "no better places were found than the present ones: dimmest place " +
		"{}, U0 {}, mean {}{}"}
	PlacesSame    = &Code{"places-same", Note, "no better places were found than the present ones; {}"}
	MountableNow  = &Code{"mountable-now", Note, "the modules can now be mounted, unlike before: {} ({}){}"}
	MoreEvenCosts = &Code{"more-even-costs", Note,
		"more even places exist but cost mean (U0 {}, mean {}, dimmest place {})"}
	DimmestRises    = &Code{"dimmest-rises", Note, "the dimmest place rises {} ({}, {}){}"}
	LightRises      = &Code{"light-rises", Note, "U0 rises {} ({}){}"}
	MeanNearer      = &Code{"mean-nearer", Note, "the mean comes nearer to the goal's ({}); {}{}"}
	PowerFalls      = &Code{"power-falls", Note, "the power falls {} ({}); {}{}"}
	LightAfter      = &Code{"light-after", Note, "{} ({}){}"}
	MeansOf         = &Code{"means-of", Note, "mean {} before, mean {} after"}
	UniformityGoes  = &Code{"uniformity-goes", Note, "U0 changes {}"}
	UniformityStays = &Code{"uniformity-stays", Note, "U0 stays at {}"}
	AlsoChosen      = &Code{"also-chosen", Note, "chosen: {}"}
	ThenGoalMet     = &Code{"then-goal-met", Note, "the goal is met"}
	ThenGoalMissed  = &Code{"then-goal-missed", Warning, "the goal is not met: {}"}
	ColourOfPart    = &Code{"colour-of-part", Note,
		"modules of another spectrum would change the colour, places hardly do"}
	ColourOfMix = &Code{"colour-of-mix", Note,
		"places were sought by the amount of light; its colour follows from parts and currents"}
	ColourByTurns = &Code{"colour-by-turns", Note,
		"places were sought by the amount of light, not by its colour; modules that take turns (alternate: true) " +
			"mix it better"}
	JudgedApart = &Code{"judged-apart", Note, "each is judged by its own {}: {}"}
	BoardsTight = &Code{"boards-tight", Note, "boards of {} are {} apart"}

	// Light.
	NotFollowed = &Code{"not-followed", Warning, "{} lm ({} of the LEDs' flux) are reflected by floor and pale walls or " +
		"scattered back; the engine straight does not follow them, so real values are somewhat higher"}
	ReflectionsCut = &Code{"reflections-cut", Warning,
		"more than {} along one axis are not counted: {} of the arriving light is missing"}
	TracingInterrupted = &Code{"tracing-interrupted", Warning, "tracing was interrupted at {} photons, with a standard " +
		"error of {} of the mean in a cell; this is the light up to then"}
	TracingStopped = &Code{"tracing-stopped", Warning, "tracing stopped at {} photons, with a standard error of {} of " +
		"the mean in a cell instead of {}; use coarser cells, or more photons of the engine traced"}
	RoomLight = &Code{"room-light", Note,
		"{} of room light on all sides of the tank would add some {} to the mean of the floor; the figures are of the " +
			"tank's own light alone"}
	ObstaclesFill = &Code{"obstacles-fill", Note,
		"obstacles fill {} of the {}: what is inside them is left out of all figures"}
	MirrorStripes = &Code{"mirror-stripes", Note,
		"steps of some percent along clear walls are real: there, light that a wall mirrors begins or ends"}

	// Heat.
	HeatBeyondEnds = &Code{"heat-beyond-ends", Note,
		"{}: {} of its modules lie beyond its ends; their heat is assumed to enter at the ends"}
	FormulaStretched = &Code{"formula-stretched", Note,
		"{}: {} of the bar: Rayleigh number {} lies outside {}, where the formula was measured"}
	NarrowBars = &Code{"narrow-bars", Note, "{}: narrower than the bars for which the convection formulas of the {} " +
		"were measured; an error of {} in them (assumed) would change the temperatures by up to {}"}
	JunctionTooHot = &Code{"junction-too-hot", Obstacle, "the junction of module {} reaches {}, above its limit of {}"}
	NoHeatBalance  = &Code{"no-heat-balance", Obstacle, "the thermal balance has no solution: {}"}
	RatedFluxShown = &Code{"rated-flux-shown", Warning,
		"{}; the light shown is that of the rated flux, which the parts cannot sustain"}

	CannotCarry = &Code{"cannot-carry", Warning,
		"the thermal balance has no solution: the rails cannot carry this power; see the command heat"}

	// Wiring.
	NotWired          = &Code{"not-wired", Obstacle, "{}"}
	NotComputed       = &Code{"not-computed", Obstacle, "{}"}
	StringsNotServing = &Code{"strings-not-serving", Note, "{}: the scene asks for {}, which does not serve here"}
	DriverNotServing  = &Code{"driver-not-serving", Note,
		"{}: the scene asks for driver {}, which does not serve here"}
	UnequalStrings = &Code{"unequal-strings", Obstacle, "{} {} cannot be divided into {}, and strings of unlike " +
		"modules do not share current evenly"}
	DriverCurrent = &Code{"driver-current", Obstacle, "its output of {} is not the {} that the strings need"}
	DriverVoltage = &Code{"driver-voltage", Obstacle, "its {} to {} do not cover the strings' {} to {}"}
	DriverPower   = &Code{"driver-power", Obstacle,
		"its {} is less than the {} that a load of {} takes with a margin of {}"}
	DriverEfficiency = &Code{"driver-efficiency", Obstacle, "its efficiency is known from {} to {} of its rated " +
		"power and not at the load of {}"}
	ForwardBeyondDriver = &Code{"forward-beyond-driver", Note, "with the tolerance of the forward voltage the " +
		"strings take {} to {}, beyond its {} to {}"}
	ColdLoad   = &Code{"cold-load", Note, "a cold start takes {} for a while, above its rated {}"}
	CurrentOff = &Code{"current-off", Note, "it gives {}, not {}; voltages and powers are for the latter"}
	StringsOf  = &Code{"strings-of", Note, "{} of {}"}
	Chosen     = &Code{"chosen", Note, "{}: {}; {}; {}, {}: efficiency {} at {} of its " +
		"rated power, which is {} times the load"}
	OutputOf      = &Code{"output-of", Note, "{} at work ({}), {} ({}), isolated, {}"}
	OutputIsMains = &Code{"output-is-mains", Warning, "{} at work, {}: the output is not isolated (the part does not " +
		"say so) and counts as mains; no limit for bare parts holds"}
	OpenRises     = &Code{"open-rises", Note, "up to {} without a load"}
	OpenUnknown   = &Code{"open-unknown", Note, "without a load at least {}, as its open-circuit voltage is not given"}
	RippleFree    = &Code{"ripple-free", Note, "ripple-free DC"}
	NotRippleFree = &Code{"not-ripple-free", Note, "pulsed or rippling, so no ripple-free DC: its peak is held to the " +
		"limits for AC (IEC 60598-1)"}
	CannotDim     = &Code{"cannot-dim", Obstacle, "it cannot dim by {}, as channel {} asks"}
	DimUnknown    = &Code{"dim-unknown", Note, "how it can be dimmed is not given; channel {} asks for {}"}
	Divided       = &Code{"divided", Note, "{}; {}; {}, efficiency {} at {} of its rated power"}
	DriversOf     = &Code{"drivers-of", Note, "{} with {} each"}
	DriversUnlike = &Code{"drivers-unlike", Note, "{} with unequal numbers of modules"}
	SecondBest    = &Code{"second-best", Note, "{} on {}, {}"}
	LostVoltage   = &Code{"lost-voltage", Note, "which goes above 60 V or is not isolated"}
	LostFault     = &Code{"lost-fault", Note, "where a first fault drives modules above their highest current"}
	LostDrivers   = &Code{"lost-drivers", Note, "which takes more drivers"}
	LostClass     = &Code{"lost-class", Note, "in a higher class of voltage"}
	LostSplash    = &Code{"lost-splash", Note, "which is not protected against splashing water, and belongs on a wall " +
		"away from it"}
	LostStrings    = &Code{"lost-strings", Note, "in more strings"}
	LostEfficiency = &Code{"lost-efficiency", Note, "which is less efficient"}
	LostPrice      = &Code{"lost-price", Note, "which costs more"}
	AsAskedFor     = &Code{"as-asked-for", Note, "as asked for"}
	FewestStrings  = &Code{"fewest-strings", Note, "the fewest strings in the lowest class of voltage that a driver feeds"}
	Harmless       = &Code{"harmless", Note, "{} and no first fault overloads"}
	Harmful        = &Code{"harmful", Note, "{}, although one open or short circuit drives modules above their highest " +
		"current"}
	GuardFuse = &Code{"guard-fuse", Note, "a fuse of {} for {} in the plus lead of each string, of the kind that " +
		"opens at 1.35 times its rating (UL 248-14), opens at the {} of a first fault {}, and until then modules " +
		"carry that{}"}
	NoGuardFuse = &Code{"no-guard-fuse", Note, "no standard fuse serves: it would have to hold {} and open at {}, and a " +
		"series resistor keeps no module from the current of an open string"}
	GuardDrivers  = &Code{"guard-drivers", Note, "a driver {} for each string instead needs no fuse{}"}
	NoGuardDriver = &Code{"no-guard-driver", Note, "no driver of the parts feeds one string alone"}
	MostEfficient = &Code{"most-efficient", Note, "the most efficient driver that fits"}
	NothingFeeds  = &Code{"nothing-feeds", Obstacle, "no driver of the parts feeds {} at {} together, however " +
		"they are divided into strings"}
	RequestOfOneKind = &Code{"request-of-one-kind", Warning, "driver and strings are for modules of one part and " +
		"current; of the {} here each takes what of them serves it; name a driver for each under drivers"}
	DriverUnfit  = &Code{"driver-unfit", Obstacle, "{} does not fit {}: {}"}
	NoDriverFits = &Code{"no-driver-fits", Obstacle, "{}: no driver fits"}
	DriverWanted = &Code{"driver-wanted", Note, "a driver of {} that covers {} to {} and gives {} or more would " +
		"serve, for {}"}
	SplitOver      = &Code{"split-over", Note, "split them over {}, each with its modules in wiring.drivers: {}"}
	Portion        = &Code{"portion", Note, "{} as {}"}
	PortionDriver  = &Code{"portion-driver", Note, "{} (up to {}, {}) on {}"}
	StringsServing = &Code{"strings-serving", Obstacle, "{}; possible numbers of strings: {}"}
	NotDivided     = &Code{"not-divided", Obstacle, "{} cannot be divided into {} of equal length"}
	NotFeedable    = &Code{"not-feedable", Obstacle, "no driver feeds the modules at {}, however they are divided " +
		"into strings and over drivers"}
	AllDark       = &Code{"all-dark", Note, "all modules are dark"}
	DriverRises   = &Code{"driver-rises", Note, "the driver's output rises to as much as {}"}
	DriverShorted = &Code{"driver-shorted", Note, "the driver is shorted: it shuts down or pulses, and all " +
		"modules are dark"}
	StringDark        = &Code{"string-dark", Note, "string {} gets little or no current"}
	StringBeyondTable = &Code{"string-beyond-table", Note, "string {} is beyond its modules' tables: {} is an estimate"}
	BelowDriver       = &Code{"below-driver", Note, "{} is below the driver's minimum of {}: it may shut down or flicker"}
	AboveDriver       = &Code{"above-driver", Note,
		"{} is above the driver's maximum of {}: it gives less than its current"}
	AboveRated = &Code{"above-rated", Note, "{} is above the driver's rated {}"}

	// Bills.
	OpticAModule = &Code{"optic-a-module", Note, "one per module; boards with a lens over each die need more"}
	WithWasher   = &Code{"with-washer", Note, "with washer, length by board and rail"}
	AWireHole    = &Code{"a-wire-hole", Note, "of rubber, one a wire hole of the rail"}
	NutsBehind   = &Code{"nuts-behind", Note, "behind the rail, where its wall is too thin for a thread"}
	NutsInSlot   = &Code{"nuts-in-slot", Note, "for the rail's slot"}
	HangerBears  = &Code{"hanger-bears", Note, "with screw; five times its load, as IEC 60598-1, 4.14, tests a luminaire"}
	CutTo        = &Code{"cut-to", Note, "cut to {}"}
	FuseAString  = &Code{"fuse-a-string", Note, "with holder, one in the plus lead of each string; price assumed"}
	CutFromStock = &Code{"cut-from-stock", Note, "{}; waste {}, saw cuts of {} among it"}
	BarCutTo     = &Code{"bar-cut-to", Note, "{} cut to {}"}
	NoStockHolds = &Code{"no-stock-holds", Warning, "no length in which it is sold, up to {}, holds {}"}
	SingleCore   = &Code{"single-core", Note, "single core, total of out and back; plus {} for cutting; price assumed"}
	SplitScenes  = &Code{"split-scenes", Note, "split: {}"}

	// Drilling.
	BoardsTooWide = &Code{"boards-too-wide", Warning, "the boards of {} are wider than the rail's face of {}"}
	NoScrewHoles  = &Code{"no-screw-holes", Warning,
		"the part of {} names no screw holes; mark them from a board on the template's centre lines"}
	HolesBeyondRail = &Code{"holes-beyond-rail", Warning, "holes are beyond the rail, which is {} long and {} wide: {}"}
	HolesNearEdge   = &Code{"holes-near-edge", Warning,
		"holes are closer to an edge than they are wide, down to {} of metal: {}"}
	ScrewsOnSlot = &Code{"screws-on-slot", Warning, "screws of {} lie on the rim of the slot {} from the front edge, " +
		"where neither a thread nor a slot nut holds; use another module or profile"}
	HolesOnFins = &Code{"holes-on-fins", Warning, "holes through the bar meet fins on its back: {}; cut the fins away " +
		"there, or use another profile"}
	NoRoomForHangers = &Code{"no-room-for-hangers", Warning, "no room for a hanger hole at {} from the left end, where " +
		"boards, keep-outs or wire holes are; hang the bar by clamps around it there, or give other hangers"}
	HangersSlack = &Code{"hangers-slack", Warning, "the hanger at {} from the left end bears nothing, since the bar " +
		"lifts off there; leave it out or move it"}
	WireHolesOnSlot = &Code{"wire-holes-on-slot", Warning,
		"wire holes of {} lie on the rim of the slot {} from the front edge, where a drill wanders"}
	HolesMerge     = &Code{"holes-merge", Warning, "holes overlap: {}"}
	NoRoomForWires = &Code{"no-room-for-wires", Warning, "no room for a wire hole on either side of {}; " +
		"set the boards farther apart, or lead the wires along the face"}
)
