package health

// look judges every watch of the pass by what the earlier passes say of it.
func (j *judge) look() {
	j.recorders, j.unlike = 0, nil
	var differ []covariate // by earlier pass
	if c := j.blendApart(j.past); c != nil {
		differ = append(differ, *c)
	}
	differ = append(differ, j.weatherApart(j.past)...)
	differ = append(differ, j.tyresApart(j.past)...)
	differ = append(differ, j.gripApart(j.past)...)
	hottest, _ := farthest(j.past)
	for _, l := range j.frame.watches() {
		if len(j.past) < fewPasses {
			l.spec = j.opts.Shop.informed(l.spec)
		}
		var ds []*digest
		cs := make([]covariate, len(differ))
		copy(cs, differ)
		for k := range cs {
			cs[k].apart = nil
		}
		for i, s := range j.past {
			if d := s.Digests[l.id]; d != nil && l.alikeFed(d) {
				ds = append(ds, d)
				for k := range cs {
					cs[k].apart = append(cs[k].apart, differ[k].apart[i])
				}
			}
		}
		j.obs = append(j.obs, j.against(l, ds, cs, hottest))
	}
	j.tellUnlike(differ)
}

// against judges one look by what the digests of earlier passes, which differ from
// this one in covariates, say of it.
func (j *judge) against(l *look, ds []*digest, cs []covariate, hottest float64) *observation {
	var own *digest
	all := l
	if len(ds) == 0 {
		l = l.matched(l.cells(j.frame))
		own = l.digestRows(l.rows)
	}
	strange := l.strange(ds)
	if c := l.recorderApart(ds); c != nil {
		cs = append(cs, *c)
		j.recorders++
	}
	m := l.learnBeside(ds, own, cs)
	if own != nil {
		m.alone(own, l)
	}
	if strange {
		m.noise = max(m.noise, l.rows.rowToRow())
	}
	if r := seen(ds, len(l.terms)); r != nil {
		f := l.cells(j.frame)
		r.find(l, f, hottest)
		l, m = l.reaching(f, r), m.reaching(r)
	}
	o := observe(l, m)
	if own != nil {
		o = j.withinGear(l.undisturbed(o), all)
	}
	if o.evidence > 0 {
		o.start = o.onset(o.cells(j.frame))
	}
	return o
}
