package lightmeter

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
	"fathomlux/scene/readings"
)

// TestSensorCalibratedInAir: readings of a quantum sensor that shows 1.32 times too little under water, whose face is 20 mm over
// where it stands. Stated, the fit finds the truth; with nothing stated it finds 24 % too little light, and says so. Source of
// the factor: common practice, no published source.
func TestSensorCalibratedInAir(t *testing.T) {
	t.Parallel()
	sc := scenetest.Example(t, "foyer")
	list := walk()[:12]
	for i := range list {
		list[i].DepthM, list[i].Photons = 0.4, true
	}
	list = fill(t, edit.Calibrated(sc, trueFactor, 0), list)
	tank := readings.Place{LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM, DepthM: sc.Tank.Water.DepthM,
		Plane: func(text string) (float64, error) { p, err := sc.Tank.Plane(text); return p.DepthM, err }}
	for name, c := range map[string]struct {
		columns, row, note string
		factor, half       float64 // of the answer, and of its interval's width at least
	}{
		"stated":   {",calibrated,immersion,face_mm", ",air,1.32,20", "", trueFactor, 0},
		"assumed":  {",calibrated,face_mm", ",air,20", "was calibrated in air; its readings count 1.32 times", trueFactor, 0.085},
		"unstated": {",face_mm", ",20", "nothing says whether the meter was calibrated in air or in water", trueFactor / 1.32, 0},
	} {
		text := "x_mm,y_mm,plane,ppfd_umol_m2_s" + c.columns + "\n"
		for _, r := range list {
			text += fmt.Sprintf("%.6f,%.6f,floor,%.9f%s\n", 1000*r.XM, 1000*r.YM, r.Value/1.32, c.row)
		}
		file, err := readings.Read("r.csv", []byte(text), tank)
		if err != nil {
			t.Fatal(err)
		}
		f, _, err := Fit(context.Background(), sc, file.Readings, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if notes := fmt.Sprint(f.Notes); c.note == "" && strings.Contains(notes, "calibrated") || !strings.Contains(notes, c.note) {
			t.Errorf("%s: notes %s", name, notes)
		}
		if half := math.Log(f.Factor.High / f.Factor.Value); math.Abs(f.Factor.Value/c.factor-1) > 2e-3 || half < c.half {
			t.Errorf("%s: factor %.4f, want %.4f; interval of %.3f", name, f.Factor.Value, c.factor, half)
		}
	}
}
