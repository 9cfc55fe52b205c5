// Package fuel holds what is published of fuels and of nitrous oxide:
// stoichiometry, heating value, density, latent heat, blends by volume, the
// fuel a given mass of nitrous oxide burns, and the saturation line of nitrous
// oxide in its bottle.
//
// All values are in SI unless a comment says otherwise: air-fuel ratios are
// kilograms of air to a kilogram of fuel, heating values J/kg and net of the water's
// condensation, densities kg/m³.
//
// What is sold under one name differs: gasoline by season and grade, "E85" by 51 to
// 83 % of ethanol at the pump (ASTM D5798, from memory). So every property carries a
// standard deviation, a measured ethanol content goes before what the owner states,
// and that before the name (Resolve).
package fuel
