"""What fills a sentence, said in the language of the sentence."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from mountwright.messages import Messages

TEMPLATES = MappingProxyType({"found": "{found}", "costs": "{price_minor}", "known": "{known}"})
PHRASES = MappingProxyType({"boot": "Schuh", "bow tie": "Fliege", "criss cross": "Kreuz", "heel step": "Stufe"})
GERMAN, ENGLISH = Messages(TEMPLATES, "de", PHRASES), Messages(TEMPLATES)


class TestWhatFillsASentence:
    """What fills a German sentence."""

    @pytest.mark.parametrize(
        ("given", "said"),
        [
            (164.6, "164,6"),
            (2.0, "2"),
            (1.4142135623730951, "1,41421"),
            (3, "3"),
            ("0.54", "0,54"),
            ("0.54 mm", "0,54 mm"),
            ("12.5 N m", "12,5 N m"),
            ("two-bolt-165.5", "two-bolt-165.5"),
            ("Model 3.5", "Model 3.5"),
            ("boot", "Schuh"),
            ("Boot", "Schuh"),
            ("heel_step", "Stufe"),
            ("boot, heel step", "Schuh, Stufe"),
            ("boot: 3 cracks", "Schuh: 3 cracks"),
            ("bow tie or criss cross", "Fliege oder Kreuz"),
            ("this or that", "this or that"),
            (None, "None"),
        ],
    )
    def test_is_a_figure_a_word_or_stays_as_it_is(self, given: object, said: str) -> None:
        """Figures have a comma, words are translated one by one, names and keys stay."""
        assert said == GERMAN.text("found", {"found": given})

    def test_is_never_a_code_that_has_to_be_written(self) -> None:
        """What a caller may choose from is what the service takes."""
        assert "boot, heel step" == GERMAN.text("known", {"known": "boot, heel step"})

    @pytest.mark.parametrize(
        ("currency", "german", "english"),
        [("EUR", "12,34€", "€12.34"), ("JPY", "1.234¥", "¥1,234"), ("KWD", "1,234KWD", "KWD1.234")],
    )
    def test_is_money_where_a_currency_is_told(self, currency: str, german: str, english: str) -> None:
        """Minor units become money, with as many decimals as the currency has (ISO 4217), in English, too."""
        price = {"price_minor": 1234, "currency": currency}

        said = [messages.text("costs", price).replace("\N{NO-BREAK SPACE}", "") for messages in (GERMAN, ENGLISH)]

        assert [german, english] == said

    def test_is_a_bare_count_where_none_is(self) -> None:
        """Without a currency nobody knows what a minor unit is."""
        assert "1234" == GERMAN.text("costs", {"price_minor": 1234})
