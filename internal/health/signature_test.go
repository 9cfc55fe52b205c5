package health

import (
	"os"
	"regexp"
	"testing"
)

// watchIDs reads the ids of all watches from the source, so that a slip of the
// pen in a signature does not silently never match.
func watchIDs(t *testing.T) map[string]bool {
	t.Helper()
	ids := map[string]bool{"knock bursts": true, "misfire": true}
	literal := regexp.MustCompile(`id: (?:named\()?"([^"]+)"`)
	table := regexp.MustCompile(`\{quantity\.\w+, "([^"]+)", "`)
	assigned := regexp.MustCompile(`s\.id, s\.title[^=]*= "([^"]+)"`)
	for _, f := range []string{"watch_fuel.go", "watch_air.go", "watch_fluids.go", "watch_heat.go", "watch_coolant.go", "watch_drive.go", "watch_engine.go", "watch_idle.go", "knock.go"} {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, re := range []*regexp.Regexp{literal, table, assigned} {
			for _, m := range re.FindAllStringSubmatch(string(src), -1) {
				ids[m[1]] = true
			}
		}
	}
	ids["driven pair"], ids["undriven pair"] = true, true
	ids["wheel wheel_speed_rl"] = true
	return ids
}

func TestSignaturesNameRealWatches(t *testing.T) {
	ids := watchIDs(t)
	if len(ids) < 45 {
		t.Fatalf("only %d watches seen in the source", len(ids))
	}
	covered := func(r role) bool {
		for id := range ids {
			if r.covers(id) {
				return true
			}
		}
		return false
	}
	musts := map[string]bool{}
	check := func(who string, roles []role) {
		seen := map[string]bool{}
		hasMust := false
		for _, r := range roles {
			if !covered(r) {
				t.Errorf("%s: no watch is called %q", who, r.watch)
			}
			if seen[r.watch] {
				t.Errorf("%s: %q stands there twice; only the first counts", who, r.watch)
			}
			seen[r.watch] = true
			if r.part == must {
				hasMust = true
				musts[r.watch] = true
			}
			if r.share <= 0 || r.share > 1 {
				t.Errorf("%s: share of %q is %g", who, r.watch, r.share)
			}
		}
		if !hasMust {
			t.Errorf("%s moves nothing for certain, so it can never be found", who)
		}
	}
	kinds := map[Kind]bool{}
	for _, s := range signatures {
		check(string(s.kind), s.roles)
		kinds[s.kind] = true
		if len(lookAt[s.kind]) == 0 {
			t.Errorf("%s: nothing to look at first", s.kind)
		}
	}
	for q, roles := range sensorSigns {
		check("sensor "+q, roles)
	}
	for _, k := range []Kind{CylinderDown, Ignition, BoostLeak, Underboost, Overboost, TurboOverspeed, TurbineChoke, FuelSupply, MixtureLean, MixtureImbalance, OilSupply, CoolantPressure,
		CrankcasePressure, Overheat, ChargeHeat, Knock, Nitrous, Throttle, ClutchSlip, Driveline, Tyre, Electrical} {
		if !kinds[k] {
			t.Errorf("no signature for %s", k)
		}
	}
	// Every watch must be able to make a finding by itself, else what it sees is
	// never said.
	for id := range ids {
		found := false
		for m := range musts {
			found = found || (role{watch: m}).covers(id)
		}
		if !found {
			t.Errorf("nothing is found by %q alone", id)
		}
	}
	for _, g := range groups {
		for _, w := range g.watches {
			if !covered(role{watch: w}) {
				t.Errorf("group %s: no watch is called %q", g.name, w)
			}
		}
	}
}

func TestRoleCoversNumberedWatches(t *testing.T) {
	for _, r := range []struct {
		role, id string
		want     bool
	}{
		{"lambda", "lambda", true}, {"lambda", "lambda apart 1", false}, {"lambda apart", "lambda apart 2", true},
		{"oil pressure", "oil pressure at idle", false}, {"wheel ", "wheel wheel_speed_rl", true}, {"turbo speed", "turbo speed 2", true},
	} {
		if got := (role{watch: r.role}).covers(r.id); got != r.want {
			t.Errorf("%q covers %q: %v", r.role, r.id, got)
		}
	}
}
