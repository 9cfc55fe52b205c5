package app

// PartsToFillIn is a parts file to begin with.
const PartsToFillIn = `# one [[part]] for each part, by its serial number; the keys: traplight help life
[[part]]
serial = "C-1"
name = "clutch"
installed = 2033-01-01
due_passes = 40

[[part]]
serial = "G3-1"
name = "third gear pair"
installed = 2033-01-01
load = "gearbox torque"
gears = [3]
counting = "revolutions"
material = "tooth root, case-hardened"
`
