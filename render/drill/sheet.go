package drill

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

const (
	endMM      = 8    // sheet beyond either end of the rail
	bandMM     = 8    // for match marks and the names of keep-outs, at the top and the bottom
	elbowMM    = 6.3  // from the face to a label: room for bent leaders
	labelGapMM = 2.9  // between neighbouring labels: capitals are 1.8 high
	shiftMM    = 3.4  // how far a label may stand beside its mark, so that both fit into the overlap of pages
	sameMM     = 0.05 // marks that are closer share a label
)

// sheet is the whole template in one piece, before it is cut into pages.
type sheet struct {
	plan Plan
	ts   *style.Typesetter

	lengthMM, widthMM float64 // of the rail
	face              box     // the rail with all that reaches over it across
	paper             box     // all of the sheet
	upper, lower      []pin   // labels of modules and of holes
	leftOut           int     // labels without room
}

// pin is a label that belongs to a place along the rail; labelMM is where it stands.
type pin struct {
	atMM, labelMM float64
	text          string
	bold          bool
}

// newSheet lays out the template of a plan.
func newSheet(plan Plan) (*sheet, error) {
	ts, err := style.NewTypesetter(1)
	if err != nil {
		return nil, err
	}
	s := &sheet{plan: plan, ts: ts, lengthMM: plan.Rail.LengthM * 1000, widthMM: plan.Rail.WidthM * 1000}
	s.face = area(0, 0, s.lengthMM, s.widthMM)
	for _, b := range plan.Rail.Boards {
		s.reach(s.widthMM/2, b.WidthM*500)
	}
	for _, h := range plan.Rail.Holes {
		s.reach(h.FromFrontM*1000, h.DiameterM*500)
	}
	s.upper = s.pinned(s.middles())
	s.lower = s.pinned(s.holeGroups())
	s.paper = area(-endMM, s.face.Top-elbowMM-s.longest(s.upper)-1-bandMM,
		s.lengthMM+endMM, s.face.Bottom+elbowMM+s.longest(s.lower)+1+bandMM)
	return s, nil
}

// reach widens the face to what stands across it.
func (s *sheet) reach(middleMM, halfMM float64) {
	s.face.Top, s.face.Bottom = min(s.face.Top, middleMM-halfMM), max(s.face.Bottom, middleMM+halfMM)
}

func (s *sheet) longest(pins []pin) float64 {
	var most float64
	for _, p := range pins {
		most = max(most, s.widthOf(p.text, p.font()))
	}
	return most
}

func (p pin) font() style.Font {
	if p.bold {
		return markBold
	}
	return markFont
}

// middles are the labels of the modules.
func (s *sheet) middles() []pin {
	var pins []pin
	for _, b := range s.plan.Rail.Boards {
		pins = append(pins, pin{atMM: b.FromLeftM * 1000, bold: true, text: fmt.Sprintf("M%d: %s", b.Module,
			drilling.Millimetres(b.FromLeftM))})
	}
	return pins
}

// holeGroups are the labels of the holes; those at one distance from the left end share one.
func (s *sheet) holeGroups() []pin {
	var pins []pin
	list := s.plan.Rail.Holes
	for i := 0; i < len(list); {
		from := list[i]
		var sizes []string
		for ; i < len(list) && (list[i].FromLeftM-from.FromLeftM)*1000 < sameMM; i++ {
			if size := sizeText(list[i]); len(sizes) < 3 && !slices.Contains(sizes, size) {
				sizes = append(sizes, size)
			}
		}
		pins = append(pins, pin{atMM: from.FromLeftM * 1000, text: drilling.Millimetres(from.FromLeftM) + " " +
			strings.Join(sizes, ", ")})
	}
	return pins
}

func sizeText(h drilling.Hole) string {
	size := "\u00f8" + strconv.FormatFloat(math.Round(h.DiameterM*1e5)/100, 'f', -1, 64)
	if h.Kind == drilling.Wire {
		return "wire " + size
	}
	return size
}

// pinned gives each label its place beside its mark. Those that would stand too far off are left out and counted; the
// first of a crowd stay.
func (s *sheet) pinned(pins []pin) []pin {
	for slackMM := shiftMM; ; slackMM /= 2 {
		kept := s.chosen(pins, slackMM)
		if s.spread(kept) || slackMM < 0.1 {
			s.leftOut += len(pins) - len(kept)
			return kept
		}
	}
}

// chosen returns the labels that can stand apart, each within slackMM of its mark, and puts them as far left as they
// may be.
func (s *sheet) chosen(pins []pin, slackMM float64) []pin {
	var kept []pin
	lastMM := math.Inf(-1)
	for _, p := range pins {
		p.labelMM = max(p.atMM-slackMM, lastMM+labelGapMM, labelGapMM/2)
		if p.labelMM <= min(p.atMM+slackMM, s.lengthMM-labelGapMM/2) {
			lastMM = p.labelMM
			kept = append(kept, p)
		}
	}
	return kept
}

// spread moves the labels around their marks, and tells whether all are near enough.
func (s *sheet) spread(kept []pin) bool {
	wanted := make([]float64, len(kept))
	for i, p := range kept {
		wanted[i] = p.atMM
	}
	places := fig.Spread(wanted, labelGapMM, labelGapMM/2, s.lengthMM-labelGapMM/2)
	for i := range places {
		if math.Abs(places[i]-wanted[i]) > shiftMM || places[i] < labelGapMM/2-1e-9 {
			return false
		}
	}
	for i := range kept {
		kept[i].labelMM = places[i]
	}
	return true
}
