"""The scales of strength as a field offers them."""

from stillroom.quantities.strengths import SCALES, Scale


def words_of_scales() -> tuple[tuple[str, str], ...]:
    """The scales as a field offers them."""

    def told(name: str, scale: Scale) -> str:
        return name if not scale.because else f"{name}: {scale.because}"

    return tuple((name, told(name, scale)) for name, scale in SCALES.items())
