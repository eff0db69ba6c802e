"""Settings of steps in the trade's words, the same on every page that names one."""

from stillroom.texts.catalogue import later, t

SETTINGS = {
    "activation_energy_kj_per_mol": later("activation energy"),
    "altitude_m": later("altitude"),
    "below_boiling_k": later("thimble colder than the flask boils"),
    "breakdown_kj_per_mol": later("how much warmth hastens its breaking down"),
    "broken_down_share": later("destroyed by heat"),
    "charge_g": later("dry plant in one filling"),
    "contact_min": later("time it stands"),
    "cycle_min": later("time of one siphoning"),
    "cycles": later("siphonings"),
    "dissolved_mg_per_l": later("oil a litre of hydrosol keeps"),
    "distil_min": later("time of distilling"),
    "distillate_ml_per_min_kg": later("distillate, for a kilogram of plant"),
    "dried_water_share": later("water left in the dried plant"),
    "drip_ml_per_min_kg": later("drip, for a kilogram of plant"),
    "drops_a_minute": later("drops counted in a minute"),
    "drops_a_millilitre": later("drops that make a millilitre"),
    "ethanol_share": later("ethanol that goes over"),
    "evaporated_share": later("evaporated"),
    "fast_min": later("time constant of what is washed out"),
    "fill_min_per_kg": later("filling, for a kilogram"),
    "filling_loss_share": later("lost in filling"),
    "film_g": later("film on the glass"),
    "filter_min_per_kg": later("filtering, for a kilogram"),
    "fumes_share": later("ammonia lost as fumes"),
    "gentle_c": later("temperature its heat dose is counted at"),
    "grind_min_per_kg": later("grinding, for a kilogram"),
    "half_gone_min": later("minutes there after which half is gone"),
    "heat_dose_min": later("its heat dose, as it was read"),
    "heat_reaching_share": later("heat that reaches the liquid"),
    "heater_w": later("heater"),
    "heel_ml_per_g": later("liquid that stays at each siphoning"),
    "held_strength_share": later("strength that holds"),
    "interface_share": later("left at the interface"),
    "left_in_mill_share": later("dust and what stays in the mill"),
    "left_in_press_share": later("left in cloth and press"),
    "liquor_in_filter_share": later("liquor left in the filter"),
    "lost_g_per_kg_h": later("lost past the condenser, by the hour"),
    "lost_w": later("heat lost before the condenser"),
    "marker_in_resin_share": later("marker held by the resin"),
    "marker_lost_share": later("marker lost in drying"),
    "marker_volatile_share": later("marker that can go over with steam"),
    "marker_within_reach_share": later("marker this liquid can take out"),
    "oil_in_vapour_g_per_g": later("oil a gram of steam can carry"),
    "others_distribution_ratio": later("partition ratio of what else goes over"),
    "others_slow_min": later("time constant of the slow rest of what else dissolves"),
    "others_volatile_share": later("what else goes over with steam"),
    "others_washed_share": later("what else is washed out at once"),
    "others_within_reach_share": later("what else it can take out"),
    "overfill_share": later("filled above the label"),
    "packed_ml_per_g": later("room of a gram of plant in the thimble"),
    "particle_mm": later("mean particle of the grind"),
    "partition_ratio": later("partition ratio, solvent to water"),
    "past_condenser_share": later("vapour past the condenser"),
    "ph": later("pH of the water"),
    "pka": later("pKa of the marker"),
    "portions": later("portions of fresh liquid"),
    "press_min_per_kg": later("pressing, for a kilogram"),
    "pushed_out_share": later("spirit displaced from the marc"),
    "rack_h": later("hours on the racks"),
    "residue_ethanol_mass_fraction": later("ethanol left in the residue"),
    "reserve_ml_per_g": later("reserve, for a gram of plant"),
    "resin_share": later("resin that drops"),
    "retention_ml_per_g": later("liquid the marc keeps"),
    "sample_g": later("sample"),
    "sediment_share": later("what settles out"),
    "shakes": later("shakes"),
    "siphon_ml_per_g": later("liquid of one siphoning"),
    "size_exponent": later("how much the grind matters"),
    "slow_at_c": later("temperature the slow rest is stated for"),
    "slow_min": later("time constant of the slow rest"),
    "soft_extract_solids_mass_fraction": later("solids of the thick extract"),
    "solvent_in_liquid_share": later("solvent in the liquid of the thick extract"),
    "solvent_in_water_g_per_g": later("solvent that water dissolves"),
    "solvent_left_mg_per_kg": later("solvent left in the extract"),
    "sorption_ml_per_g": later("adsorption on the plant"),
    "spirit_ml_per_g": later("spirit, for a gram of plant"),
    "oil_g_per_g": later("oil, for a gram of plant"),
    "glycerol_g_per_g": later("glycerol, for a gram of plant"),
    "water_g_per_g": later("water, for a gram of plant"),
    "spread_min_per_kg": later("spreading and turning, for a kilogram"),
    "stated_particle_mm": later("grind the shares are stated for"),
    "stands_min": later("time it stands in the percolator"),
    "steamed_off_share": later("steam under the lid"),
    "stop_at_ml": later("mark on the flask at which it stops"),
    "strip_min_per_kg": later("stripping, for a kilogram"),
    "tanks": later("mixing stages"),
    "temperature_c": later("temperature"),
    "uptake_at_80c_min": later("time constant at 80 °C"),
    "uptake_min": later("time constant of the maceration"),
    "want_volume_fraction_20c": later("strength wanted, by volume at 20 °C"),
    "washed_share": later("washed out at once"),
    "washing_capacity_ml_per_g": later("washing capacity of the bed"),
    "water_in_oil_share": later("water the oil keeps"),
    "water_in_solvent_g_per_g": later("water that the solvent dissolves"),
    "water_mass_fraction": later("water left in the extract"),
    "wetting_ml_per_g": later("liquid that wets the plant"),
}


def said_of_setting(setting: str) -> str:
    """A setting in the trade's words; "" where none are listed.

    Parameters
    ----------
    setting : str
        Its name in a procedure, "contact_min". [text]
    """
    said = SETTINGS.get(setting)
    return t(said) if said else ""


def setting_words(setting: str) -> str:
    """A setting in the trade's words; its name without underscores where none are listed."""
    return said_of_setting(setting) or setting.replace("_", " ")
