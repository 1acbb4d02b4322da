package main

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/optics"
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
	f.StringVar(&o.engine, "engine", string(optics.Full), "full: unscattered light summed, scattered and diffusely "+
		"reflected light traced; direct: the sum alone, faster and without noise, for dark tanks and clear water; "+
		"traced: photons alone")
	f.Uint64Var(&o.seed, "seed", 1,
		"seed of the traced photons; one seed gives the same bytes for any number of workers")
	f.Int64Var(&o.photons, "photons", 0, "photons to trace (default as many as --error needs)")
	f.StringVar(&o.err, "error", "", "standard error of a cell to trace to, as a share of the plane's mean, such as "+
		"\"0.5 %\" (default 0.5 % for full, 5 % for traced)")
}

// resolve checks the flags and writes them into the request; a command that does not bind them takes what is usual.
func (o engineOptions) resolve(request *optics.Options) error {
	if o.flags == nil {
		return nil
	}
	request.Engine, request.Seed, request.Photons = optics.Engine(o.engine), o.seed, o.photons
	if err := oneOf("--engine", o.engine, optics.Engines()...); err != nil {
		return err
	}
	if o.engine == string(optics.Direct) && (o.photons != 0 || o.err != "") {
		return fmt.Errorf("--photons and --error are for the engines full and traced; direct traces nothing")
	}
	switch {
	case o.photons < 0, o.photons == 0 && o.flags.Changed("photons"):
		return fmt.Errorf("--photons: %d is not between 1 and %d", o.photons, int64(optics.MaxPhotons))
	case o.photons > optics.MaxPhotons:
		return fmt.Errorf("--photons: %d photons, more than the limit of %d; fewer serve", o.photons,
			int64(optics.MaxPhotons))
	}
	if o.err == "" {
		return nil
	}
	var err error
	request.Error, err = shareIn("--error", o.err, 1e-5, 1)
	return err
}
