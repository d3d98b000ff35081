package server

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"packyard/cell"
	"packyard/drawing"
	"packyard/unit"
)

// svgPolicy lets a drawing that is opened alone use the style it brings, and
// nothing else.
const svgPolicy = "default-src 'none'; style-src 'unsafe-inline'; sandbox"

// picturesHook answers for the drawings of package drawing.
func (s *Server) picturesHook(m *http.ServeMux) {
	m.HandleFunc("GET /api/pictures/{name}", s.picture)
	m.HandleFunc("GET /api/scene.glb", s.scene)
	m.HandleFunc("GET /api/book/{name}", s.bookFile)
}

// picture answers with a drawing as a stand-alone SVG file. The query takes
// option, system (si, us), and what the drawing itself asks for: by (mass,
// price) of options, along (time, distance), schedule, life and once of trace
// and flow.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	name, isSVG := strings.CutSuffix(r.PathValue("name"), ".svg")
	name, isPDF := strings.CutSuffix(name, ".pdf")
	s.answerWith(w, r, func() error {
		if isSVG == isPDF {
			return fmt.Errorf("picture %q %w: %s.svg and %s.pdf are written", r.PathValue("name"), errNotFound, name, name)
		}
		sheet, err := s.sheet(r, name)
		switch {
		case err != nil:
			return err
		case isPDF:
			return sheet.PDF(&b)
		}
		return sheet.SVG(&b)
	}, func() {
		if isPDF {
			w.Header().Set("Content-Type", "application/pdf")
			w.Header().Set("Content-Disposition", `attachment; filename="`+name+`.pdf"`)
			_, _ = w.Write(b.Bytes()) // as below
			return
		}
		w.Header().Set("Content-Type", "image/svg+xml")
		w.Header().Set("Content-Security-Policy", svgPolicy)
		_, _ = w.Write(b.Bytes()) // a page that is gone needs no picture
	})
}

// sheet draws the picture of that name.
func (s *Server) sheet(r *http.Request, name string) (*drawing.Sheet, error) {
	system, err := systemOf(r)
	if err != nil {
		return nil, err
	}
	switch name {
	case "options":
		return s.optionsSheet(r, system)
	case "trace", "flow":
		return s.runSheet(r, name, system)
	case "time-current":
		return s.circuitSheet(r, system)
	}
	if id, ok := strings.CutPrefix(name, "cell-"); ok {
		return s.cellSheet(id, system)
	}
	v, err := s.view(r, system)
	if err != nil {
		return nil, err
	}
	switch name {
	case "side":
		return drawing.SideView(v), nil
	case "top":
		return drawing.TopView(v), nil
	case "window":
		return drawing.WindowPicture(v), nil
	}
	text, ok := strings.CutPrefix(name, "bay-")
	i, err := strconv.Atoi(text)
	if !ok || err != nil || i < 0 || i >= len(v.Brief.Bays) {
		return nil, fmt.Errorf("picture %q %w: there are side, top, bay-0 to bay-%d, options, window, cell-ID, trace, flow and time-current", name, errNotFound, len(v.Brief.Bays)-1)
	}
	return drawing.BayViews(v, i), nil
}

func systemOf(r *http.Request) (unit.System, error) {
	switch text := r.URL.Query().Get("system"); text {
	case "", "si":
		return unit.SI, nil
	case "us":
		return unit.US, nil
	default:
		return unit.SI, fmt.Errorf("%w: system %q: si and us are accepted", errRequest, text)
	}
}

// view is the vehicle with the option asked for, if there is one.
func (s *Server) view(r *http.Request, system unit.System) (drawing.View, error) {
	snap, _, a, err := s.asked(r)
	if err != nil {
		return drawing.View{}, err
	}
	v := drawing.View{Brief: &snap.brief, Title: drawing.Title{Project: snap.brief.Title, Invented: snap.brief.Invented, System: system}}
	if a != nil {
		v.Assessment, v.Title = a.report, drawing.TitleOf(a.report, system)
	}
	return v, nil
}

func (s *Server) circuitSheet(r *http.Request, system unit.System) (*drawing.Sheet, error) {
	c, a, err := s.wired(r)
	if err != nil {
		return nil, err
	}
	return drawing.TimeCurrent(drawing.CircuitPicture{Chart: c.Circuit.Chart, Title: drawing.TitleOf(a.report, system)}), nil
}

func (s *Server) optionsSheet(r *http.Request, system unit.System) (*drawing.Sheet, error) {
	snap, _, err := s.present()
	if err != nil {
		return nil, err
	}
	f, _ := s.live.newest()
	if f == nil || f.report == nil {
		return nil, fmt.Errorf("a picture of the options %w: the search is not finished", errNotFound)
	}
	t := &snap.brief.Targets
	p := drawing.Scatter{
		Report: f.report, Wanted: t.Range, Marked: snap.brief.Choose.Option,
		Title: drawing.Title{Project: snap.brief.Title, Invented: snap.brief.Invented, System: system},
	}
	switch by := r.URL.Query().Get("by"); by {
	case "", "mass":
		p.Across, p.Most = drawing.ByMass, float64(t.MassMax)
	case "price":
		p.Across, p.Most = drawing.ByPrice, t.PriceMax
	default:
		return nil, fmt.Errorf("%w: by %q: mass and price are accepted", errRequest, by)
	}
	return drawing.OptionsPicture(p), nil
}

func (s *Server) runSheet(r *http.Request, name string, system unit.System) (*drawing.Sheet, error) {
	t, _, _, err := s.tripOf(r)
	if err != nil {
		return nil, err
	}
	d, err := t.drive(true)
	if err != nil {
		return nil, err
	}
	title := drawing.TitleOf(t.a.report, system)
	if name == "flow" {
		return drawing.EnergyFlow(drawing.FlowPicture{Balance: &d.balance, Result: &d.Result, Schedule: t.sched.ID, Title: title}), nil
	}
	p := drawing.TracePicture{Trace: &d.trace, Schedule: t.sched.ID, Title: title}
	switch along := r.URL.Query().Get("along"); along {
	case "", "time":
	case "distance":
		p.Distance = true
	default:
		return nil, fmt.Errorf("%w: along %q: time and distance are accepted", errRequest, along)
	}
	return drawing.TraceChart(p), nil
}

func (s *Server) cellSheet(id string, system unit.System) (*drawing.Sheet, error) {
	snap, _, err := s.present()
	if err != nil {
		return nil, err
	}
	c := snap.project.Cells.Cell(id)
	if m := snap.project.Cells.Module(id); m != nil {
		c = m.Slice.Cell
	}
	if c == nil {
		return nil, fmt.Errorf("cell or module %q %w", id, errNotFound)
	}
	return drawing.CellCurves(drawing.CellPicture{Cells: []*cell.Cell{c}, Title: drawing.Title{System: system}})
}

// scene answers with the vehicle in three dimensions as glTF 2.0, with the
// option asked for in place; with bay, the index of one, with that bay alone in
// its own frame.
func (s *Server) scene(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	s.answerWith(w, r, func() error {
		v, err := s.view(r, unit.SI)
		if err != nil {
			return err
		}
		text := r.URL.Query().Get("bay")
		if text == "" {
			return drawing.GLB(&b, drawing.VehicleScene(v))
		}
		i, err := strconv.Atoi(text)
		if err != nil || i < 0 || i >= len(v.Brief.Bays) {
			return fmt.Errorf("bay %q %w: there are 0 to %d", text, errNotFound, len(v.Brief.Bays)-1)
		}
		return drawing.GLB(&b, drawing.BayScene(v, i))
	}, func() {
		w.Header().Set("Content-Type", "model/gltf-binary")
		w.Header().Set("Content-Disposition", `attachment; filename="vehicle.glb"`)
		_, _ = w.Write(b.Bytes()) // a page that is gone needs no scene
	})
}
