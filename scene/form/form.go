// Package form holds the forms of tanks and of what stands in them, as pure geometry: the outline of the plan, the
// ground, and solids.
package form
