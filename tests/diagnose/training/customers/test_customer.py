"""Customers that talk: in sentences that the program itself would hear rightly."""

from __future__ import annotations

from diagnose.case.events import Complained
from diagnose.listening.listen import Listener
from diagnose.simulation.chance import Dice
from diagnose.training.customers.customer import complaint_words, walk_in
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from rules.rulebase import RuleBase


def test_every_complaint_is_heard_back_as_what_it_is(
    offroad: RuleBase, offroad_guide: Guide
) -> None:
    """Whatever way it is put, and with its place."""
    listener, words = Listener(offroad), offroad_guide.words
    assert words is not None and set(words.complaints) == set(offroad.complaints)
    for name, entry in offroad.complaints.items():
        for place in entry.places or (None,):
            said = {
                complaint_words(offroad, words, Complained(name, place), Dice(seed, "way"))
                for seed in range(8)
            }
            assert len(said) > 1
            for text in said:
                heard = [item.event.key for item in listener.listen(text).complaints]
                # a clunk at the top may be a knock as well; what is meant comes first
                assert heard[:1] == [Complained(name, place).key], text


def test_all_that_can_have_happened_has_a_sentence(offroad: RuleBase, offroad_guide: Guide) -> None:
    assert offroad_guide.words is not None
    for name, entry in offroad.observations.items():
        if entry.kind == "history" and entry.is_evidence:
            told = offroad_guide.words.history[name]
            assert set(told) == set(entry.states) - {entry.normal}, name


def test_customers_speak_in_sentences_and_guess_wrong(
    offroad: RuleBase, offroad_guide: Guide
) -> None:
    guesses = tempers = 0
    for seed in range(30):
        scenario = draw_scenario(offroad, offroad_guide, seed)
        customer = walk_in(offroad, offroad_guide, scenario, scenario.bike(offroad))
        said = [*customer.words, *customer.told_lines]
        assert all(line[-1] == "." and "{" not in line for line in said), said
        guesses += len(customer.words) > 1 and ": " in customer.words[1]
        tempers += customer.words[-1] in (
            offroad_guide.words.tempers if offroad_guide.words else ()
        )
        for cause in scenario.truth.causes:
            title = offroad.causes[cause].title.casefold()
            assert not any(title in line.casefold() for line in customer.words)
    assert 3 <= guesses <= 25 and 8 <= tempers <= 28


def test_a_pack_without_words_says_it_as_it_is_asked(mower: RuleBase, mower_guide: Guide) -> None:
    scenario = draw_scenario(mower, mower_guide, 28)
    customer = walk_in(mower, mower_guide, scenario, scenario.bike(mower))
    assert len(customer.words) == 1
    assert all("?" in line for line in customer.told_lines)
