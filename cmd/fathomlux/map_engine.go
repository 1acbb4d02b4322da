package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/optics"
	"fathomlux/optics/result"
)

// engineOptions choose how light is computed, as the caller wrote them.
type engineOptions struct {
	engine  string
	seed    uint64
	photons int64
	err     string
	flags   *pflag.FlagSet // tells a zero that was given from none
}

// bind adds the flags of engines to a command.
func (o *engineOptions) bind(c *cobra.Command) {
	f := c.Flags()
	o.flags = f
	f.StringVar(&o.engine, "engine", string(optics.Full), "full: straight light summed, scattered and bounced light traced; direct: the sum alone, faster and without noise, for dark tanks and clear water; traced: photons alone")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the traced photons; one seed gives the same bytes for any number of workers")
	f.Int64Var(&o.photons, "photons", 0, "photons to trace (default as many as --error needs)")
	f.StringVar(&o.err, "error", "", "standard error of a cell to trace to, in parts of the plane's mean, such as \"0.5 %\" (default 0.5 % for full, 5 % for traced)")
}

// resolve checks the flags and writes them into the wish.
func (o engineOptions) resolve(wish *optics.Options) error {
	wish.Engine, wish.Seed, wish.Photons = optics.Engine(o.engine), o.seed, o.photons
	known := false
	for _, name := range optics.Engines() {
		known = known || name == o.engine
	}
	if !known {
		return fmt.Errorf("--engine: %q is none of %s", o.engine, strings.Join(optics.Engines(), ", "))
	}
	if o.engine == string(optics.Direct) && (o.photons != 0 || o.err != "") {
		return fmt.Errorf("--photons and --error are for the engines full and traced; direct traces nothing")
	}
	switch {
	case o.photons < 0, o.photons == 0 && o.flags != nil && o.flags.Changed("photons"):
		return fmt.Errorf("--photons: %d is not between 1 and %d", o.photons, int64(optics.MaxPhotons))
	case o.photons > optics.MaxPhotons:
		return fmt.Errorf("--photons: %d photons, more than the limit of %d; fewer serve", o.photons, int64(optics.MaxPhotons))
	}
	var err error
	wish.Error, err = parseError(o.err)
	return err
}

// parseError reads "0.5 %" or 0.005; an empty text is 0.
func parseError(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	switch {
	case percent:
		v /= 100
	case err == nil && v > 1 && v <= 100:
		return 0, fmt.Errorf("--error: %s is %g %%, which is not between 0.001 %% and 100 %%; did you mean %q?", number, 100*v, strings.TrimSpace(number)+"%")
	}
	if err != nil || !(v >= 1e-5 && v <= 1) {
		return 0, fmt.Errorf("--error: %q is not between 0.001 %% and 100 %%", text)
	}
	return v, nil
}

// tracingJSON says how photons were traced.
type tracingJSON struct {
	Photons int64   `json:"photons"`
	Seed    uint64  `json:"seed"`
	Error   float64 `json:"cell_error"` // root mean square of the cells' standard errors over the mean, of the worst plane

	Interrupted bool `json:"interrupted,omitempty"` // by Ctrl-C
}

// planeErrorJSON are standard errors: of the plane's mean, and of a cell as the root mean square over all.
type planeErrorJSON struct {
	MeanLx float64 `json:"mean_lx"`
	CellLx float64 `json:"cell_lx"`
}

func tracingOf(t *result.Tracing) *tracingJSON {
	if t == nil {
		return nil
	}
	out := tracingJSON(*t)
	return &out
}

// planeErrorOf is nil where nothing was traced.
func planeErrorOf(p *result.Plane) *planeErrorJSON {
	if len(p.ErrorLx) == 0 {
		return nil
	}
	sum := 0.0
	for _, e := range p.ErrorLx {
		sum += e * e
	}
	return &planeErrorJSON{MeanLx: p.MeanErrorLx, CellLx: math.Sqrt(sum / float64(len(p.ErrorLx)))}
}

// writeTracing says how well the traced light is known.
func writeTracing(w io.Writer, m *result.Map) {
	if m.Tracing == nil {
		return
	}
	fmt.Fprintf(w, "  engine %s: %.3g million photons traced, standard error of a cell %.2g %% of the mean\n", m.Engine, float64(m.Tracing.Photons)/1e6, 100*m.Tracing.Error)
}
