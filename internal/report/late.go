package report

// lateOf tells a run in which the log begins: what counts from the launch is null.
func lateOf(s *Source, opts Options) Pass {
	out := passOf(s.Late, s)
	if s.Sheet != nil {
		out.Car = s.Sheet.Name
	}
	out.LaunchS, out.LaunchSDS, out.RolloutS, out.RolloutSDS = nil, nil, nil, nil
	for i := range out.Gears {
		out.Gears[i].StartM, out.Gears[i].EndM = nil, nil
	}
	for i := range out.Shifts {
		out.Shifts[i].AtM = nil
	}
	out.Setup = []Setting{}
	out.Notes = append(out.Notes, "no health verdict and no ledger: both count from the launch")
	explain(&out, s, opts)
	return out
}
