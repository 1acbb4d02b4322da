package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene/unit"
)

// TestFacesInAllForms: the faces of things as people read them, as programs do, and as a file.
func TestFacesInAllForms(t *testing.T) {
	t.Parallel()
	m := &result.Map{Faces: []result.Face{{Thing: "stem", Name: "side", FromM: 0.05, ToM: 0.11, AreaM2: 0.0121, MeanLx: 1108.4, LeastLx: 730.2,
		MeanPPFD: 15.46, LeastPPFD: 10.21, ErrorLx: 31.5}}}
	table := faceTable(m, unit.Metric)
	var text, file bytes.Buffer
	if err := answer.WriteText(&text, answer.Answer{table}); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(strings.Fields(text.String()), " "); !strings.HasSuffix(got, "stem side 50 to 110 mm 121 1108 730 15.5 10.2") {
		t.Errorf("%s", got)
	}
	if err := answer.WriteCSV(&file, table); err != nil {
		t.Fatal(err)
	}
	want := "thing,face,from_mm,to_mm,area_cm2,mean_lx,min_lx,mean_ppfd_umol_m2_s,min_ppfd_umol_m2_s,standard_error_lx\nstem,side,50,110,121,1108.4,730.2,15.46,10.21,31.5\n"
	if file.String() != want {
		t.Errorf("%s", file.String())
	}
	var rows struct{ Things []map[string]any }
	data, err := json.Marshal(answer.Answer{table})
	if err == nil {
		err = json.Unmarshal(data, &rows)
	}
	if err != nil || len(rows.Things) != 1 || rows.Things[0]["mean_lx"] != 1108.4 || rows.Things[0]["standard_error_lx"] != 31.5 {
		t.Errorf("%s, %v", data, err)
	}
}
