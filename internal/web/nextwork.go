package web

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"traplight/internal/app"
	"traplight/internal/store"
)

// foretell works the forecast of a planned pass out and writes it down, before the
// pass is run.
func (h *shop) foretell(ctx context.Context, j *job, p store.Pass, id string) (*app.Coming, error) {
	m, err := h.fit(ctx, j, p.Car)
	if err != nil {
		return nil, err
	}
	notes, err := h.notes(ctx)
	if err != nil {
		return nil, err
	}
	planned := notes.PlannedByID(id)
	if planned == nil {
		return nil, wrong("no planned pass %q in the notes", id)
	}
	o, err := h.nextOptions(ctx, p, notes)
	if err != nil {
		return nil, err
	}
	o.Progress = func(done, of int) { j.tell("running passes", done, of) }
	c, err := m.fitted.Coming(ctx, notes, planned, o)
	if err != nil {
		return nil, err
	}
	body, err := json.Marshal(c)
	if err != nil {
		return nil, err
	}
	_, err = h.st.RecordForecast(ctx, p.Car, id, m.key, body)
	return c, err
}

// planSubject is under which the store keeps why a plan chose its settings.
func planSubject(id string) string { return "plan " + id }

// best finds the best settings within the limits, for the pass as the form has it, and
// keeps them as a planned entry of its own.
func (h *shop) best(ctx context.Context, j *job, a *asked, id, weather string) error {
	m, err := h.fit(ctx, j, a.pass.Car)
	if err != nil {
		return err
	}
	a.opt.Progress = func(done, of int) { j.tell("trying settings, round by round", done, of) }
	j.tell("trying settings, round by round", 0, 4)
	p, err := m.fitted.Best(ctx, a.notes, a.planned, a.opt)
	if err != nil {
		return err
	}
	body, err := json.Marshal(p)
	if err != nil {
		return err
	}
	text, err := planText(id, weather, p)
	if err != nil {
		return err
	}
	if _, err := h.st.PutEntry(ctx, store.Entry{Kind: store.PlannedEntry, Key: id, Body: text}); err != nil {
		return err
	}
	return h.st.Learn(ctx, a.pass.Car, planSubject(id), m.key, body)
}

// chosen is a plan that was kept, and for which model; nil when id is not of a plan.
func (h *shop) chosen(ctx context.Context, name, id string) (c *app.Coming, key string, err error) {
	body, key, ok, err := h.st.Learnt(ctx, name, planSubject(id))
	if err != nil || !ok {
		return nil, "", err
	}
	c = &app.Coming{}
	if err := json.Unmarshal(body, c); err != nil || !c.Chosen {
		return nil, "", err
	}
	return c, key, nil
}

// accept writes a plan's forecast down as it is.
func (h *shop) accept(ctx context.Context, p store.Pass, id string) error {
	c, made, err := h.chosen(ctx, p.Car, id)
	if err != nil {
		return err
	}
	if c == nil {
		return wrong("there is no plan %q to accept", id)
	}
	now, err := h.app.ModelKey(ctx, p.Car)
	if err != nil {
		return err
	}
	if now != made {
		return wrong("passes, sheet or notes have changed since this plan was made: look for the best settings again")
	}
	if c.NoSettings != "" {
		return wrong("no card: %s", c.NoSettings)
	}
	body, err := json.Marshal(c)
	if err != nil {
		return err
	}
	_, err = h.st.RecordForecast(ctx, p.Car, id, made, body)
	return err
}

// planText is a planned entry with a plan's settings in place of the form's.
func planText(id, entry string, c *app.Coming) (string, error) {
	p := &c.Settings
	launch := c.Launch != nil && c.Launch.Moved()
	var b strings.Builder
	for _, l := range strings.Split(entry, "\n") {
		key, _, _ := strings.Cut(l, "=")
		switch strings.TrimSpace(key) {
		case "", "id", "boost_target_kpa_by_gear", "shift_rpm_aim", "nitrous":
		case "launch_rpm":
			if !launch {
				b.WriteString(l + "\n")
			}
		default:
			b.WriteString(l + "\n")
		}
	}
	list := func(key string, x []float64, digits int) {
		var out []string
		for _, v := range x {
			out = append(out, plain(v, digits))
		}
		fmt.Fprintf(&b, "%s = [%s]\n", key, strings.Join(out, ", "))
	}
	list("boost_target_kpa_by_gear", p.Boost, 1)
	if len(p.Shift) > 0 {
		list("shift_rpm_aim", p.Shift, 0)
	}
	fmt.Fprintf(&b, "nitrous = %v\n", p.Nitrous)
	if launch {
		fmt.Fprintf(&b, "launch_rpm = %s\n", plain(c.Launch.Chosen, 0))
	}
	text := fmt.Sprintf("id = %q\n", id) + b.String()
	return text, checkForm(store.PlannedEntry, text)
}
