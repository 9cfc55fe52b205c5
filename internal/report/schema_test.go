package report

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
)

// TestSchema keeps the published schema up to date and holds a report to it.
func TestSchema(t *testing.T) {
	s, err := schema()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "../../../docs/report.schema.json", marshal(t, s))
	resolved, err := s.Resolve(nil)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(marshal(t, Assemble([]Source{inventedSource()}, nil, Options{})), &v); err != nil {
		t.Fatal(err)
	}
	if err := resolved.Validate(v); err != nil {
		t.Errorf("a report does not fit its own schema: %v", err)
	}
	v.(map[string]any)["passes"] = "none"
	if resolved.Validate(v) == nil {
		t.Error("the schema lets anything through")
	}
}

// TestKeysOfTheDesign holds the JSON to the names that are fixed.
func TestKeysOfTheDesign(t *testing.T) {
	keys := map[reflect.Type]string{
		reflect.TypeFor[Report]():  "car notes log passes",
		reflect.TypeFor[LogInfo](): "file sha256 start duration_s channels",
		reflect.TypeFor[Channel](): "name quantity unit rate_hz confidence problems",
		reflect.TypeFor[Pass]():    "launch_s launch_sd_s rollout_s finish_s lift_s complete distance_m splits trap gears shifts power air ledger health",
		reflect.TypeFor[Split]():   "mark distance_m time_s speed_mps time_sd_s speed_sd_mps",
		reflect.TypeFor[Trap]():    "speed_mps sd_mps window_m",
		reflect.TypeFor[Gear](): "gear start_s end_s peak_hub_torque_nm mean_hub_torque_nm mean_hub_torque_sd_nm peak_wheel_torque_nm mean_wheel_torque_nm peak_slip mean_slip " +
			"ceiling_hub_torque_nm ceiling_hub_sd_nm ceiling_wheel_torque_nm ceiling_is_lower_bound limited_by mean_boost_pa boost_target_pa lambda ignition_rad max_exhaust_temp_k " +
			"charge_temp_end_k max_injector_duty min_fuel_over_manifold_pa max_back_pressure_ratio turbo_speed_rads shift_engine_speed_rads",
		reflect.TypeFor[Shift]():   "from to start_s end_s boost_before_pa boost_min_pa boost_target_pa recovery_s recovery_to_target_s",
		reflect.TypeFor[Power]():   "peak_wheel_w peak_wheel_sd_w engine_speed_rads at_s fuel_flow_kgps by_fuel_w by_fuel_sd_w back_pressure_ratio",
		reflect.TypeFor[Air]():     "density_kgpm3 density_altitude_m correction_sae_j1349",
		reflect.TypeFor[Ledger]():  "cause group speed_mps sd_mps alone_mps",
		reflect.TypeFor[Health]():  "verdict basis not_judged findings",
		reflect.TypeFor[Finding](): "kind severity start_s channels evidence look_at chance_on_healthy_car",
	}
	for typ, want := range keys {
		have := map[string]bool{}
		for i := range typ.NumField() {
			name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			have[name] = true
		}
		for _, k := range strings.Fields(want) {
			if !have[k] {
				t.Errorf("%s lacks the key %q", typ.Name(), k)
			}
		}
	}
}

// TestEveryKeyIsDescribed compares docs/report-json.md with the types.
func TestEveryKeyIsDescribed(t *testing.T) {
	doc, err := os.ReadFile("../../docs/report-json.md")
	if err != nil {
		t.Fatal(err)
	}
	var walk func(typ reflect.Type)
	seen := map[reflect.Type]bool{}
	walk = func(typ reflect.Type) {
		for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice {
			typ = typ.Elem()
		}
		if typ.Kind() != reflect.Struct || seen[typ] {
			return
		}
		seen[typ] = true
		for i := range typ.NumField() {
			name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			if !bytes.Contains(doc, []byte("`"+name+"`")) {
				t.Errorf("docs/report-json.md does not tell of %s.%s", typ.Name(), name)
			}
			walk(typ.Field(i).Type)
		}
	}
	walk(reflect.TypeFor[Report]())
}

// schema is the JSON schema of Report, inferred from its types.
func schema() (*jsonschema.Schema, error) {
	s, err := jsonschema.For[Report](nil)
	if err != nil {
		return nil, err
	}
	s.Schema = "https://json-schema.org/draft/2020-12/schema"
	s.Title = "traplight report"
	return s, nil
}
