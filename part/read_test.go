package part

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/check"
	"packyard/internal/sheet"
	"packyard/unit"
)

const loadHeader = "name,low_w,high_w,when,duty_share,duty_by_ambient_c,source,status,note\n"

func TestLoadTableNamesLineAndFault(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, row, want string }{
		{"not a number", "lamp,x,2,always,1,,a,b,\n", `line 2: low_w: "x" is not a number`},
		{"high below low", "lamp,5,2,always,1,,a,b,\n", `line 2: high_w: 2 is not within 5 and 10000`},
		{"NaN", "lamp,NaN,2,always,1,,a,b,\n", `low_w: NaN is not within`},
		{"when", "lamp,1,2,sometimes,1,,a,b,\n", `when: "sometimes" is not always, dark or wet, or wet`},
		{"both duties", "lamp,1,2,wet,1,0:1,a,b,\n", "one of duty_share and duty_by_ambient_c must be given"},
		{"no pair", "lamp,1,2,wet,,0,a,b,\n", `"0" is not °C:share`},
		{"falling", "lamp,1,2,wet,,5:1 0:1,a,b,\n", "0 °C does not rise"},
		{"duty above one", "lamp,1,2,wet,1.5,,a,b,\n", "1.5 is not within 0 and 1"},
		{"columns", "lamp,1,2\n", "wrong number of fields"},
	} {
		_, err := ReadLoadTable(strings.NewReader(loadHeader + c.row))
		if !errors.Is(err, ErrLoadTable) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

func TestLoadTableStaysWithinThePublishedGuides(t *testing.T) {
	t.Parallel()
	rows := LoadTable()
	if len(rows) != 12 {
		t.Errorf("%d loads, want 12", len(rows))
	}
	// The two guides, least and greatest of both, W at 13.5 V.
	for name, want := range map[string][2]unit.Power{
		"headlamps low beam": {108, 243}, "parking and rear lamps": {18, 135}, "wipers": {40, 101}, "heater blower": {81, 189},
		"heated rear window": {176, 378}, "seat heater": {54, 68}, "radio": {7, 68}, "anti-lock brake module": {27, 81}, "stop lamps": {47, 148},
	} {
		found := false
		for _, r := range rows {
			if r.Name == name {
				found = true
				if r.Low != want[0] || r.High != want[1] {
					t.Errorf("%s: %v to %v W, published %v to %v W; source: catalogue_12v_loads.csv", name, r.Low, r.High, want[0], want[1])
				}
			}
		}
		if !found {
			t.Errorf("no load %q", name)
		}
	}
}

func FuzzReadLoadTable(f *testing.F) {
	f.Add(loadsCSV)
	f.Add(loadHeader + "lamp,1,2,wet,,0:1 5:0.5,a,b,\n")
	f.Add("\"\n,,")
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := ReadLoadTable(strings.NewReader(text))
		if err != nil {
			if !errors.Is(err, ErrLoadTable) || rows != nil {
				t.Fatalf("%v with %d rows", err, len(rows))
			}
			return
		}
		for _, r := range rows {
			for _, ambientC := range []float64{-60, 0, 20, 60} {
				if d := r.Load().DutyAt(unit.Temperature(ambientC + kelvin0)); !(d >= 0 && d <= 1) {
					t.Fatalf("%+v: share %v at %v °C", r, d, ambientC)
				}
			}
		}
	})
}

func FuzzSheet(f *testing.F) {
	names, err := filepath.Glob("data/*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
	f.Add(sheetOf())
	f.Add(sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{grid: {speeds: [0 rpm, 6000 rpm], torques: [0 N·m, 100 N·m], losses: [[1 W, 2 W], [3 W, 4 W]]}}"))
	f.Add(sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{like: generic-car-unit-80kw, like_speed: 1 rpm}"))
	f.Fuzz(func(t *testing.T, text string) {
		var s Sheet
		var probs check.Problems
		sheet.Decode("f", []byte(text), &s, &probs)
		c := s.Build(BuiltIn(), &probs)
		for _, p := range probs.List {
			if p.Pos.IsZero() {
				t.Fatalf("a problem without place: %v", p)
			}
		}
		for _, u := range c.DriveUnits[len(BuiltIn().DriveUnits):] {
			for _, p := range u.EfficiencyPoints() {
				if !(p.Efficiency >= 0 && p.Efficiency <= 1) || math.IsInf(float64(p.Loss), 0) || math.IsNaN(float64(p.Loss)) {
					t.Fatalf("%s: %+v", u.ID, p)
				}
			}
			if !u.LossCovers(u.TorquePeak, u.SpeedMax) {
				t.Fatalf("%s leaves its loss", u.ID)
			}
		}
	})
}

func FuzzLossConstant(f *testing.F) {
	for _, s := range []string{"0.3 W/(N·m)²", "0.3", "", " ", "1e999 W/(N m)^2", "NaN W/(Nm)2", "0x1p-2 W/(Nm)2", "+Inf W/(Nm)2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var c CopperConstant
		if err := c.ReadText(text, check.Pos{File: "f", Line: 1, Col: 1}); err == nil && !(c.si >= 0 && c.si <= 1e3) {
			t.Fatalf("%q read as %v", text, c.si)
		}
		if !c.IsGiven() {
			t.Fatal("the place was lost")
		}
	})
}

func TestScaleRefusesWhatIsNoSize(t *testing.T) {
	t.Parallel()
	u := unitOf(t, "generic-traction-unit")
	for _, to := range []Scaling{{Torque: -1}, {Torque: u.TorquePeak * 5.01}, {Speed: u.SpeedMax / 5.01}, {Power: u.PowerPeak * 6}, {Torque: unit.Torque(math.NaN())}} {
		if s, err := Scale(u, to); !errors.Is(err, ErrScale) || s != nil {
			t.Errorf("%+v: %v, %v", to, s, err)
		}
	}
	s, err := Scale(u, Scaling{})
	if err != nil || s.TorquePeak != u.TorquePeak || s.LossAt(50, 500) != u.LossAt(50, 500) {
		t.Errorf("the same size: %+v, %v", s, err)
	}
	s, err = Scale(u, Scaling{Torque: 300, Power: 90e3})
	if err != nil || s.PowerPeak != 90e3 || s.TorquePeak != 300 || s.SpeedMax != u.SpeedMax || s.Ratio != u.Ratio {
		t.Errorf("%+v, %v", s, err)
	}
	for _, f := range s.Facts {
		if f.Field == "loss" && f.Status != StatusScaled {
			t.Errorf("loss is %q", f.Status)
		}
	}
}
