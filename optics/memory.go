package optics

import (
	"fmt"

	"fathomlux/scene"
)

// MaxMemory is the most that a computation may be predicted to take, in bytes: 4 GiB.
const MaxMemory = 4 << 30

// Bytes that a computation holds at a time, of a cell: a field's lx and umol/m2/s; what a tracer notes of one landing
// place, and its batch, sums and squares; an answer's standard errors.
const (
	fieldBytes  = 16
	lightBytes  = 16
	tallyBytes  = 4 * lightBytes // sums and squares are of twice the size
	restBytes   = 24             // of the rest of the light of one plane: a batch of its lumens, sums and squares
	errorsBytes = 16
)

// transferBytes are about those of the tables of one plane, of a tank with four matt walls; unlike modules take about
// unlikeTables times as much.
const (
	transferBytes = 2 << 20
	unlikeTables  = 4
)

// memoryError is a computation that would take more than MaxMemory. It is found before any light is summed.
type memoryError struct {
	Bytes int64
	Cure  string // what would serve, in words
}

func (e *memoryError) Error() string {
	return fmt.Sprintf("this would take about %s of memory, more than the limit of %s; %s", gibibytes(e.Bytes),
		gibibytes(MaxMemory), e.Cure)
}

func gibibytes(n int64) string { return fmt.Sprintf("%.3g GiB", float64(n)/(1<<30)) }

// Fits returns a *memoryError where a prediction is above the limit.
func Fits(bytes int64, cure string) error {
	if bytes > MaxMemory {
		return &memoryError{Bytes: bytes, Cure: cure}
	}
	return nil
}

// What takes less memory.
const (
	cureOfMap    = "use a larger step, fewer planes or fewer workers"
	cureOfImages = "use fewer obstacles, fewer modules or less reflective walls: there are too many mirror images"
)

// Predict tells the most memory that Map holds at a time for a scene, in bytes, from cells, planes, modules that are
// kept apart and workers; images and obstacles come on top, see direct.Engine.ViewBytes. The text of tables and the
// pixels of pictures are their makers' own: Options.CellBytes stands for them.
func Predict(sc *scene.Scene, o Options) (int64, error) {
	grid, err := chooseGrid(sc.Tank, o)
	if err != nil {
		return 0, err
	}
	bytes := mapBytes(planeRequests(sc, o, grid), int64(len(Modules(sc))), o)
	if sc.Day != nil {
		bytes += dayBytes
	}
	return bytes, nil
}

// dayBytes is about what the light of a day on one plane takes beside a map: tables of two spectra, and lanes.
// Measured.
const dayBytes = 210 << 20

func mapBytes(requests []planeRequest, modules int64, o Options) int64 {
	var own, apart int64 // cells of all planes, and those of modules that are kept apart
	for _, w := range requests {
		n := int64(w.grid.Cells())
		own += n
		if w.perModule {
			apart += n * modules
		}
		own += n * int64(w.kinds)
	}
	workers := int64(max(1, o.Workers))
	fields := fieldBytes * (own + apart)
	switch o.Engine {
	case Straight:
		return fields + max(own*o.CellBytes, workers*rowBytes(requests, modules))
	case Full, "":
		planes := int64(len(requests))
		adding := restBytes * own / max(1, planes) * min(workers, planes)
		if o.Sections {
			planes += sliceLevels
		}
		if apart > 0 { // where what serves one spectrum is kept for others
			planes *= unlikeTables
		}
		return fields + own*errorsBytes + max(own*o.CellBytes, workers*rowBytes(requests, modules), adding) +
			planes*transferBytes
	}
	places := own // where a tracer counts
	if apart > 0 {
		places += apart - apart/max(1, modules) // the whole of such a plane is the sum of its modules
	}
	tracing := lightBytes*places*(workers+1) + tallyBytes*own + lightBytes*apart
	answer := lightBytes*places + tallyBytes*own + (fieldBytes+errorsBytes)*own + (fieldBytes+2*lightBytes)*apart
	return max(fields+own*(errorsBytes+o.CellBytes), tracing, answer)
}

// rowBytes are those of the rows of all modules that one worker sums.
func rowBytes(requests []planeRequest, modules int64) int64 {
	most := int64(0)
	for _, w := range requests {
		most = max(most, fieldBytes*(modules+1)*int64(w.grid.NX))
	}
	return most
}
