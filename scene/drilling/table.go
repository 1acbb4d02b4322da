package drilling

import (
	"sort"
)

// Mark tells what a row of the table is about.
type Mark string

// What stands in the table.
const (
	RailEnd       Mark = "right end of the rail"
	ModuleMiddle  Mark = "module middle"
	ScrewHole     Mark = "screw hole"
	WireHole      Mark = "wire hole"
	KeepOutBegins Mark = "keep-out begins"
	KeepOutEnds   Mark = "keep-out ends"
)

// Row is one place of the table. Module is 0, Note empty, and FromFrontM and DiameterM are 0 where they mean nothing.
type Row struct {
	Mark                             Mark
	Module                           int
	FromLeftM, FromFrontM, DiameterM float64
	Note                             string // the module's part, or why there is a keep-out
}

// HasFront tells whether the row's place across the rail means something.
func (r Row) HasFront() bool {
	return r.Mark == ModuleMiddle || r.Mark == ScrewHole || r.Mark == WireHole
}

// Rows returns the table: all that is marked, by its distance from the left end.
func (p Layout) Rows() []Row {
	var rows []Row
	for _, b := range p.Boards {
		rows = append(rows, Row{Mark: ModuleMiddle, Module: b.Module, FromLeftM: b.FromLeftM, FromFrontM: p.WidthM / 2,
			Note: b.Part})
	}
	for _, h := range p.Holes {
		mark := ScrewHole
		if h.Kind == Wire {
			mark = WireHole
		}
		rows = append(rows, Row{Mark: mark, Module: h.Module, FromLeftM: h.FromLeftM, FromFrontM: h.FromFrontM,
			DiameterM: h.DiameterM})
	}
	for _, k := range p.KeepOuts {
		rows = append(rows, Row{Mark: KeepOutBegins, FromLeftM: k.FromM, Note: k.Why},
			Row{Mark: KeepOutEnds, FromLeftM: k.ToM, Note: k.Why})
	}
	rows = append(rows, Row{Mark: RailEnd, FromLeftM: p.LengthM, Note: p.Profile})
	sort.SliceStable(rows, func(a, b int) bool { return rows[a].FromLeftM < rows[b].FromLeftM-1e-9 })
	return rows
}
