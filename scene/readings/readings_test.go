package readings

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/readertest"
)

// foyer is a tank of 1180 by 430 mm with 420 mm of water.
var foyer = Place{LengthM: 1.18, WidthM: 0.43, DepthM: 0.42, Plane: func(text string) (float64, error) {
	depthM, ok := map[string]float64{"surface": 0, "mid": 0.21, "floor": 0.42, "200 mm": 0.2}[text]
	if !ok {
		return 0, fmt.Errorf("%q is not a plane", text)
	}
	return depthM, nil
}}

func TestReadings(t *testing.T) {
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }
	for _, c := range []struct {
		name, text string
		want       []Reading
	}{
		{"plain", "x_mm,y_mm,plane,lux\n100,200,floor,2500\n300,50.5,Surface,1.2e4\n", []Reading{
			{XM: 0.1, YM: 0.2, DepthM: 0.42, Value: 2500, Line: 2}, {XM: 0.3, YM: 0.0505, Value: 12000, Line: 3}}},
		{"inches and photons", "x_in, y_in, depth_mm, ppfd_umol_m2_s, sensor, note\n10,5,200,80.5,a,\"left, behind the rock\"\n", []Reading{
			{XM: 0.254, YM: 0.127, DepthM: 0.2, Value: 80.5, Photons: true, Sensor: "a", Note: "left, behind the rock", Line: 2}}},
		{"units in the cells", "x,y,plane,illuminance\n10 cm,4 in,200 mm,2.5 klx\n", []Reading{{XM: 0.1, YM: 0.1016, DepthM: 0.2, Value: 2500, Line: 2}}},
		{"a unit in a cell beats the column's", "x_mm,y_mm,plane,illuminance_lx\n10 cm,200,mid,2 klx\n", []Reading{{XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 2000, Line: 2}}},
		{"foot-candles", "x_mm,y_mm,plane,illuminance_fc\n1,1,mid,1\n", []Reading{{XM: 0.001, YM: 0.001, DepthM: 0.21, Value: 1 / 0.09290304, Line: 2}}},
		{"inches and foot-candles by their names", "x_in,y_inches,depth_in,fc\n10,5,8,2\n", []Reading{{XM: 0.254, YM: 0.127, DepthM: 0.2032, Value: 2 / 0.09290304, Line: 2}}},
		{"foot-candles in the cells", "x_in,y_in,plane,lux\n10,5,mid,2 fc\n", []Reading{{XM: 0.254, YM: 0.127, DepthM: 0.21, Value: 2 / 0.09290304, Line: 2}}},
		{"byte order mark, comments, blank lines", "\ufeff# by hand\nx_mm,y_mm,plane,lux\n\n100,200,mid,5\n,,,\n", []Reading{{XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 5, Line: 4}}},
		{"both meters in a row", "x_mm,y_mm,plane,lux,ppfd_umol_m2_s\n100,200,mid,500,8\n", []Reading{
			{XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 500, Line: 2}, {XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 8, Photons: true, Line: 2}}},
		{"calibrated in air, its face over the floor", "x_mm,y_mm,plane,ppfd_umol_m2_s,calibrated,face_mm\n100,200,floor,50,Air,20\n", []Reading{{XM: 0.1, YM: 0.2, DepthM: 0.4, Value: 66, Photons: true, Line: 2}}},
		{"with its maker's factor", "x_mm,y_mm,plane,lux,immersion,calibrated\n100,200,mid,50,1.2,\n100,200,mid,50,,water\n", []Reading{
			{XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 60, Line: 2}, {XM: 0.1, YM: 0.2, DepthM: 0.21, Value: 50, Line: 3}}},
		{"at the glass, half a millimetre out", "x_mm,y_mm,depth_mm,lux\n1180.4,-0.4,420.3,5\n", []Reading{{XM: 1.18, YM: 0, DepthM: 0.42, Value: 5, Line: 2}}},
	} {
		f, err := Read("r.csv", []byte(c.text), foyer)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(f.Readings) != len(c.want) {
			t.Errorf("%s: %+v", c.name, f.Readings)
			continue
		}
		for i, got := range f.Readings {
			w := c.want[i]
			if !near(got.XM, w.XM) || !near(got.YM, w.YM) || !near(got.DepthM, w.DepthM) || math.Abs(got.Value-w.Value) > 1e-9*w.Value || got.Photons != w.Photons ||
				got.Sensor != w.Sensor || got.Note != w.Note || got.Line != w.Line {
				t.Errorf("%s:\n%+v, want\n%+v", c.name, got, w)
			}
		}
	}
}

// TestUnfilledRows: a sheet that is filled in part is taken, with what it has.
func TestUnfilledRows(t *testing.T) {
	f, err := Read("r.csv", []byte("x_mm,y_mm,plane,lux,sensor,note\n100,200,mid,,,\n100,200,floor,80,,\n100,100,floor,,,\n"), foyer)
	if err != nil || f.Unfilled != 2 || len(f.Readings) != 1 {
		t.Errorf("%+v, %v", f, err)
	}
}

// wrong are files with a fault, and what is to be said of it.
var wrong = []struct{ name, text, want string }{
	{"empty", "", "r.csv: the file is empty; it begins with a header such as x_mm,y_mm,plane,lux"},
	{"header alone", "x_mm,y_mm,plane,lux\n", "there is no reading below the header"},
	{"nothing filled in", "x_mm,y_mm,plane,lux\n1,1,mid,\n", "none of the 1 rows has a value yet"},
	{"dark", "x_mm,y_mm,plane,lux\n1,1,mid,0\n2,1,mid,0\n", "all readings are 0; was the light on"},
	{"calibrated somewhere", "x_mm,y_mm,plane,lux,calibrated\n1,1,mid,5,moon\n", `r.csv:2:11: "moon" is not known; write air or water`},
	{"no factor", "x_mm,y_mm,plane,lux,immersion\n1,1,mid,5,0.5\n", `r.csv:2:11: "0.5" is no immersion factor; give a number from 1 to 2`},
	{"factor in water", "x_mm,y_mm,plane,lux,calibrated,immersion\n1,1,mid,5,water,1.3\n", "a sensor that was calibrated in water needs no immersion factor"},
	{"face above the water", "x_mm,y_mm,plane,lux,face_mm\n1,1,mid,5,300\n", "r.csv:2:11: face_mm: 300 mm is no height of the sensor's face over a place 210 mm deep"},
	{"semicolons", "x_mm;y_mm;plane;lux\n1;1;mid;2,5\n", "r.csv:1:1: semicolons stand between the columns, as spreadsheets write where decimals take a comma"},
	{"tabs", "x_mm\ty_mm\tplane\tlux\n", "r.csv:1:1: tabs stand between the columns"},
	{"decimal comma", "x_mm,y_mm,plane,lux\n1,1,mid,\"2,5\"\n", `r.csv:2:9: lux: "2,5" has a comma`},
	{"bare decimal comma", "x_mm,y_mm,plane,lux\n1,1,mid,2,5\n", "r.csv:2:1: 5 fields where the header has 4; decimals take a point, and a note with a comma stands in quotation marks"},
	{"short row", "x_mm,y_mm,plane,lux\n1,1,mid\n", "r.csv:2:1: 3 fields where the header has 4"},
	{"unknown column", "x_mm,y_mm,plnae,lux\n", `r.csv:1:11: unknown column "plnae"; did you mean "plane"?`},
	{"odd column", "x_mm,y_mm,plane,temperature\n", `r.csv:1:17: unknown column "temperature"; known: x_mm`},
	{"units that serve", "x_mm,y_mm,plane,brightness\n", "lengths may end in _cm, _m, _in or _ft too, and klx or fc may stand for lux"},
	{"odd unit", "x_km,y_mm,plane,lux\n", `unknown column "x_km"; its name with a unit is one of x_mm, x_cm, x_m, x_in, x_ft`},
	{"unit of a word", "x_mm,y_mm,plane_mm,lux\n", `unknown column "plane_mm"; did you mean "plane"?`},
	{"column twice", "x_mm,x_in,plane,lux\n", "r.csv:1:6: column x_in repeats x_mm"},
	{"no place", "plane,lux\n", "the columns x_mm and y_mm are needed"},
	{"no plane", "x_mm,y_mm,lux\n", "a column plane or depth_mm is needed"},
	{"two planes", "x_mm,y_mm,plane,depth_mm,lux\n", "plane and depth exclude each other"},
	{"no light", "x_mm,y_mm,plane,note\n", "a column lux or ppfd_umol_m2_s is needed"},
	{"no unit anywhere", "x,y_mm,plane,lux\n100,1,mid,5\n", "r.csv:2:1: x: 100 has no unit; write 100 mm or 0.1 m, or name the column x_mm"},
	{"wrong unit", "x_mm,y_mm,plane,lux\n100 mA,1,mid,5\n", `"mA" is not a unit of length`},
	{"outside", "x_mm,y_mm,plane,lux\n1200,1,mid,5\n", "r.csv:2:1: x_mm: 1200 mm is outside the tank, which reaches from 0 mm to 1180 mm"},
	{"in front", "x_mm,y_mm,plane,lux\n100,-1,mid,5\n", "y_mm: -1 mm is outside the tank"},
	{"in the ground", "x_mm,y_mm,depth_mm,lux\n100,1,430,5\n", "r.csv:2:7: depth_mm: 430 mm is below the floor, which is 420 mm deep"},
	{"in the air", "x_mm,y_mm,depth_mm,lux\n100,1,-30,5\n", "depth_mm: -30 mm is above the water"},
	{"no such plane", "x_mm,y_mm,plane,lux\n100,1,flor,5\n", `plane: "flor" is not a plane`},
	{"negative", "x_mm,y_mm,plane,lux\n100,1,mid,-5\n", "lux: -5 is negative; light is 0 or more"},
	{"NaN", "x_mm,y_mm,plane,lux\n100,1,mid,NaN\n", `lux: "NaN" does not begin with a number`},
	{"infinite", "x_mm,y_mm,plane,lux\n100,1,mid,1e999\n", "too large a number"},
	{"too bright", "x_mm,y_mm,plane,lux\n100,1,mid,1e7\n", "1e7 is brighter than any tank"},
	{"place missing", "x_mm,y_mm,plane,lux\n,1,mid,5\n", "x_mm: the value is missing"},
	{"binary", "PK\x03\x04", "r.csv:1:3: control character 0x03 is not text; a CSV file in UTF-8 is needed"},
	{"other letters", "x_mm,y_mm,plane,note,lux\n1,1,mid,caf\xe9,5\n", "r.csv:2:12: byte 0xe9 is not UTF-8"},
	{"open quotation", "x_mm,y_mm,plane,note,lux\n1,1,mid,\"here,5\n", "a quotation mark is out of place"},
	{"long note", "x_mm,y_mm,plane,note,lux\n1,1,mid," + strings.Repeat("a", 201) + ",5\n", "note: more than 200 characters"},
	{"too many", "x_mm,y_mm,plane,lux\n" + strings.Repeat("1,1,mid,5\n", MaxReadings+1), "r.csv:10002:1: 10001 readings or more are too many; at most 10000 are allowed"},
	{"too large", strings.Repeat("#\n", MaxBytes), "bytes; at most 1048576 (1 MiB) are allowed"},
}

func TestWrongFiles(t *testing.T) {
	for _, c := range wrong {
		f, err := Read("r.csv", []byte(c.text), foyer)
		var faults *document.Error
		switch {
		case err == nil || f != nil:
			t.Errorf("%s: taken", c.name)
		case !errors.As(err, &faults):
			t.Errorf("%s: the error is a %T", c.name, err)
		case !strings.Contains(err.Error(), c.want):
			t.Errorf("%s:\n%.400v\ndoes not say\n%s", c.name, err, c.want)
		}
	}
}

func TestAllFaultsAtOnce(t *testing.T) {
	_, err := Read("r.csv", []byte("x_mm,y_mm,plane,lux\n1200,1,mid,-5\n1,1,mid,5\n1,1,nowhere,5\n"), foyer)
	var faults *document.Error
	if !errors.As(err, &faults) || len(faults.Faults) != 3 || faults.Faults[2].Line != 4 || faults.Faults[2].Column != 5 {
		t.Errorf("%v", err)
	}
}

// TestFrugal: files at their largest, of readings, of faults and of columns.
func TestFrugal(t *testing.T) {
	const header = "x_mm,y_mm,plane,lux\n"
	for _, c := range []struct{ head, unit string }{
		{header, "1,1,mid,5\n"}, {header, ",\n"}, {header, "\n"}, {header, ",,,\n"}, {header, "a,b,c,d\n"}, {header, ","}, {"", "x_mm,"}, {"", "\""}, {"", "#\n"}, {"note\n", "\"\"\n"},
	} {
		data := readertest.Filled(c.head, c.unit, MaxBytes)
		readertest.Frugal(t, len(data), func() {
			if _, err := Read("r.csv", data, foyer); err == nil || err.Error() == "" {
				t.Errorf("%q again and again is taken", c.unit)
			}
		})
	}
}

// FuzzRead: no input makes the reader fall, and what it takes lies in the tank and is read again from its own values.
func FuzzRead(f *testing.F) {
	for _, c := range wrong {
		if len(c.text) < 1000 {
			f.Add([]byte(c.text))
		}
	}
	f.Add([]byte("x_mm,y_mm,plane,lux,immersion\n0,0,mid,1,1\n"))
	f.Add([]byte("x_in, y, depth_mm, ppfd_umol_m2_s, lux, sensor\n10,5 cm,200,80.5,,a\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var file *File
		var err error
		readertest.Frugal(t, len(data), func() { file, err = Read("r.csv", data, foyer) })
		if err != nil {
			if file != nil || err.Error() == "" {
				t.Fatalf("%+v, %q", file, err)
			}
			return
		}
		var again strings.Builder
		again.WriteString("x_m,y_m,depth_m,lux,ppfd_umol_m2_s,calibrated\n")
		for _, r := range file.Readings {
			if !(r.XM >= 0 && r.XM <= 1.18 && r.YM >= 0 && r.YM <= 0.43 && r.DepthM >= 0 && r.DepthM <= 0.42 && r.Value >= 0 && r.Value <= 2e6) {
				t.Fatalf("%+v", r)
			}
			if r.Photons {
				fmt.Fprintf(&again, "%v,%v,%v,,%v,water\n", r.XM, r.YM, r.DepthM, r.Value)
			} else {
				fmt.Fprintf(&again, "%v,%v,%v,%v,,water\n", r.XM, r.YM, r.DepthM, r.Value)
			}
		}
		second, err := Read("r.csv", []byte(again.String()), foyer)
		if err != nil || len(second.Readings) != len(file.Readings) {
			t.Fatalf("%v\n%s", err, again.String())
		}
		for i := range second.Readings {
			a, b := file.Readings[i], second.Readings[i]
			a.Line, a.Sensor, a.Note, b.Line = 0, "", "", 0
			a.Immersion, a.Trust = 1, Stated // its value is the light in water already
			if !reflect.DeepEqual(a, b) {
				t.Fatalf("%+v came back as %+v", a, b)
			}
		}
	})
}
