"""What the sums of the bench ask: spirit back, an acid, a buffer, a Soxhlet, cooling; the rest folded away.

Decides nothing about what may be entered.
"""

from stillroom.actions.acid_entries import BASES
from stillroom.actions.ask_recover import HOLDS, STOP_AS
from stillroom.actions.dilute_entries import KNOWN_BY
from stillroom.actions.ph_readings import READ_BY
from stillroom.reference.tables import table
from stillroom.substances.acids import buffer_pairs
from stillroom.texts.catalogue import t
from stillroom.web.ask_entries import Control, Question, Row


def recover_question() -> Question:
    """Get spirit back: what is in the flask, how much, how warm, where to stop."""
    ways = tuple((key, f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items() if key != "bottle")
    stops = tuple((key, f"{unit} {words}") for key, (words, unit) in STOP_AS.items())
    return Question(
        name="recover",
        title=t("sums_form.get_spirit_back"),
        lead=t("sums_form.how_strong_flask_how"),
        button=t("sums_form.what_comes_over"),
        rows=(
            Row(
                t("sums_form.flask_known"),
                (
                    Control("have", t("sums_form.strength_in_the_flask"), "figure"),
                    Control("known-by", t("sums_form.known_by"), "choice", choices=ways, value="label"),
                ),
                t("sums_form.extract_strength_before_plant"),
            ),
            Row(
                t("sums_form.how_much"),
                (Control("amount", t("sums_form.amount")),),
                t("sums_form.such_as_litres_or_kilograms"),
            ),
            Row(
                t("sums_form.temperature_now"),
                (Control("temperature", t("sums_form.temperature_now"), "figure", "°C"),),
            ),
            Row(
                t("sums_form.stop_when"),
                (
                    Control("stop", t("sums_form.stop_when"), "figure"),
                    Control("stop-as", t("sums_form.what_is_meant"), "choice", choices=stops, value="share"),
                ),
            ),
        ),
        more=(
            Row(t("sums_form.heater"), (Control("power", t("sums_form.heater"), "figure", "W"),)),
            Row(
                t("sums_form.how_much_power_arrives"),
                (Control("share", t("sums_form.share_that_arrives"), "figure", "%"),),
            ),
            Row(t("sums_form.altitude"), (Control("altitude", t("sums_form.altitude"), "figure", "m"),)),
            Row(
                t("sums_form.pressure_still"),
                (Control("pressure", t("sums_form.pressure_in_the_still")),),
                t("sums_form.under_vacuum_such_mbar"),
            ),
            Row(
                t("sums_form.gets_past_condenser"),
                (Control("escapes", t("sums_form.past_the_condenser"), "figure", "%"),),
            ),
            Row(
                t("sums_form.how_warm_distillate"),
                (Control("distillate-at", t("sums_form.distillate_at"), "figure", "°C"),),
            ),
            Row(
                t("sums_form.else_flask"),
                (
                    Control(
                        "holds",
                        t("sums_form.it_holds"),
                        "choice",
                        choices=(("", t("sums_form.not_said")), *((one, one) for one in HOLDS)),
                    ),
                ),
            ),
            Row(
                t("sums_form.how_sure_strength"),
                (Control("have-plus-minus", t("sums_form.of_the_strength"), "figure"),),
                "k = 2",
            ),
            Row(
                t("sums_form.temperature_read"), (Control("read-at", t("sums_form.read_at"), "figure", "°C"),)
            ),
        ),
    )


def acid_question() -> Question:
    """Thin an acid or alkali: of what, wanted, how much."""
    sold = tuple((one.key, one.key) for one in table("commercial_reagents").rows)
    return Question(
        name="acid",
        title=t("sums_form.thin_acid_alkali_dissolve"),
        lead=t("sums_form.bottle_says_strength_you"),
        button=t("sums_form.work_it_out"),
        rows=(
            Row(
                t("sums_form.the_bottle"),
                (Control("of", t("sums_form.the_bottle"), "list", choices=sold),),
                t("sums_form.such_as_hydrochloric_acid"),
            ),
            Row(
                t("sums_form.strength_wanted"),
                (
                    Control("want", t("sums_form.strength_wanted")),
                    Control(
                        "basis",
                        t("sums_form.what_a_percentage_means"),
                        "choice",
                        choices=(("", t("sums_form.not_said")), *BASES.items()),
                    ),
                ),
                t("sums_form.such_as_a_strength"),
            ),
            Row(
                t("sums_form.how_much"),
                (
                    Control("amount", t("sums_form.amount")),
                    Control(
                        "amount-as",
                        t("sums_form.of_what"),
                        "choice",
                        choices=(("wanted", "wanted"), ("at hand", t("sums_form.hand_bottle"))),
                        value="wanted",
                    ),
                ),
                t("sums_form.such_as_a_litre_or_grams"),
            ),
        ),
        more=(
            Row(
                t("sums_form.how_sure_label"),
                (Control("have-plus-minus", t("sums_form.of_the_label"), "figure", "%"),),
                "± in % w/w (k = 2)",
            ),
            Row(
                t("sums_form.density_bottle"), (Control("density", t("sums_form.density"), "figure", "g/mL"),)
            ),
            Row(
                t("sums_form.strength_bottle_titration"),
                (
                    Control("titrated", t("sums_form.by_titration")),
                    Control("titrated-plus-minus", t("sums_form.of_the_titration"), "figure", "mol/L"),
                ),
                t("sums_form.such_place_label"),
            ),
        ),
    )


def buffer_question() -> Question:
    """Weigh a buffer: pair, pH, strength, volume."""
    return Question(
        name="buffer",
        title=t("sums_form.weigh_a_buffer"),
        lead=t("sums_form.pair_salts_ph_you"),
        button=t("sums_form.work_it_out"),
        rows=(
            Row(
                t("sums_form.pair_of_salts"),
                (
                    Control(
                        "pair",
                        t("sums_form.pair_of_salts"),
                        "choice",
                        choices=tuple((one, one) for one in buffer_pairs()),
                    ),
                ),
            ),
            Row(t("sums_form.ph_wanted_at"), (Control("ph", t("sums_form.ph_wanted"), "figure"),)),
            Row(
                t("sums_form.both_salts_together"),
                (Control("total", t("sums_form.both_salts_together")),),
                t("sums_form.such_as_mol_per_litre"),
            ),
            Row(
                t("sums_form.how_much"),
                (Control("amount", t("sums_form.amount")),),
                t("sums_form.such_as_a_litre"),
            ),
            Row(
                t("sums_form.read_with"),
                (
                    Control(
                        "read-by",
                        t("sums_form.read_with"),
                        "choice",
                        choices=(("", t("sums_form.not_said")), *READ_BY.items()),
                    ),
                ),
            ),
        ),
        more=(
            Row(
                t("sums_form.meter_calibrated"),
                (Control("meter-buffers", t("sums_form.calibrated_with")),),
                t("sums_form.such_as_buffers"),
            ),
            Row(
                t("sums_form.how_far_reading_may"),
                (Control("plus-minus", t("sums_form.of_the_reading"), "figure"),),
            ),
            Row(
                t("sums_form.temperature_of_the_room"),
                (Control("at", t("sums_form.temperature_of_the_room"), "figure", "°C"),),
            ),
            Row(
                t("sums_form.scale_of_the_salts"),
                (Control("scale", t("sums_form.readability_of_the_scale"), "figure", "g"),),
            ),
            Row(
                t("sums_form.ph_mixture"),
                (Control("holds", t("sums_form.it_holds")),),
                t("sums_form.place_all_above_citric"),
            ),
        ),
    )


def siphon_question() -> Question:
    """When a Soxhlet may stop: residues of the last siphonings."""
    return Question(
        name="siphon",
        title=t("sums_form.may_soxhlet_stop"),
        lead=t("sums_form.dry_residue_each_last"),
        button=t("sums_form.may_it_stop"),
        rows=(
            Row(
                t("sums_form.dry_residues_order"),
                (Control("residues", t("sums_form.residues")),),
                t("sums_form.such_as_residues"),
            ),
            Row(
                t("sums_form.collected_far_these_included"),
                (Control("collected", t("sums_form.collected"), "figure", "g"),),
            ),
            Row(t("sums_form.siphoning_next"), (Control("cycle", "A cycle", "figure", "min"),)),
        ),
        more=(
            Row(
                t("sums_form.share_that_may_remain"),
                (Control("remain", t("sums_form.may_remain"), "figure", "%"),),
            ),
            Row(
                t("sums_form.how_sure_each_residue"),
                (Control("sure", "± of a residue (k = 2)", "figure", "mg"),),
            ),
        ),
    )


def cooling_question() -> Question:
    """Cool condensers: what boils, the water in, its flow."""
    return Question(
        name="cooling",
        title=t("sums_form.cool_what_boils"),
        lead=t("sums_form.boils_order_water_water"),
        button=t("sums_form.may_it_run"),
        rows=(
            Row(
                t("sums_form.set_ups_order_water"),
                (Control("set-ups", t("sums_form.set_ups")),),
                t("sums_form.such_ethanol_min_acetone"),
            ),
            Row(
                t("sums_form.water_coming_measured_today"),
                (Control("inlet", t("sums_form.water_coming_in"), "figure", "°C"),),
            ),
            Row(
                t("sums_form.flow_of_a_line"),
                (Control("flow", t("sums_form.flow_of_a_line"), "figure", "L/min"),),
            ),
            Row(
                t("sums_form.hoses_how_long"),
                (
                    Control(
                        "hoses",
                        t("sums_form.hoses"),
                        "choice",
                        choices=(
                            ("series", t("sums_form.in_series")),
                            ("parallel", t("sums_form.in_parallel")),
                        ),
                        value="series",
                    ),
                    Control("hours", t("sums_form.for_how_long"), "figure", "h"),
                ),
            ),
        ),
        more=(
            Row(
                t("sums_form.everything_on_the_breaker"),
                (Control("heaters", t("sums_form.heaters")),),
                t("sums_form.such_as_heaters"),
            ),
            Row(
                t("sums_form.breaker_mains"),
                (
                    Control("breaker", t("sums_form.breaker"), "figure", "A"),
                    Control("mains", t("sums_form.mains"), "figure", "V"),
                ),
            ),
            Row(
                t("sums_form.bucket_ice_pump"),
                (
                    Control("bucket", t("sums_form.bucket"), "figure", "L"),
                    Control("ice", t("sums_form.ice"), "figure", "kg"),
                    Control("pump", t("sums_form.pump"), "figure", "W"),
                ),
                t("sums_form.place_tap"),
            ),
            Row(t("sums_form.altitude"), (Control("altitude", t("sums_form.altitude"), "figure", "m"),)),
            Row(
                t("sums_form.how_much_heater_boils"), (Control("share", t("sums_form.share"), "figure", "%"),)
            ),
            Row(
                t("sums_form.how_far_below_boiling"),
                (Control("margin", t("sums_form.margin"), "figure", "K"),),
            ),
            Row(
                t("sums_form.water_standing_condenser"),
                (Control("jacket", t("sums_form.water_in_a_condenser"), "figure", "mL"),),
            ),
            Row(
                t("sums_form.how_warm_what_drips_back"),
                (Control("caught-at", t("sums_form.caught_at"), "figure", "°C"),),
            ),
        ),
    )
