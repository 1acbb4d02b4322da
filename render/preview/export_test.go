package preview

// Nearest256 is nearest256 for the tests.
var Nearest256 = nearest256
