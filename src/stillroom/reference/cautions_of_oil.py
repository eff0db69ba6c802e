"""The usual cautions where a plant stands in oil or glycerol, with no spirit near: common practice, like the others."""

from collections.abc import Mapping

from stillroom.texts.catalogue import later

OF_OIL_AND_GLYCEROL: Mapping[str, tuple[str, str, str]] = {
    "water-in-oil": (
        later("Water in oil"),
        later("before the plant goes into the oil"),
        later(
            "Dry plant, dry vessel, dry cloth. In the water of a fresh or damp plant, botulism and "
            "moulds grow beneath the oil, unseen and without a smell. Cloudy, sour or bubbling: throw "
            "it away. Never for eating."
        ),
    ),
    "warm-oil": (
        later("Warm oil"),
        later("while the oil is warmed"),
        later(
            "A water bath, never a flame or a bare plate: hot oil smokes, then burns, and water in it "
            "spits. An oil fire: lid on, heat off, never water. Cloths with oil on them can heat by "
            "themselves and catch fire: spread them out to dry, or throw them away wet."
        ),
    ),
    "rancid-oil": (
        later("Oil turns"),
        later("when the oil is put away"),
        later(
            "Air, light and warmth turn it rancid. Small dark bottles, full, cool, dated; no copper or "
            "iron. Once it smells rancid, it goes on no skin."
        ),
    ),
    "weak-glycerol": (
        later("Glycerol that is too weak"),
        later("before the plant goes into the glycerol"),
        later(
            "Below about half glycerol by mass, the plant's own water counted, it does not keep: moulds "
            "and germs grow in days. Weigh both. Cold and clean; what is made from it needs its own "
            "preservative and a germ count."
        ),
    ),
}
