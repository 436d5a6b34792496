"""From a transcript to utterances with everything found in them.

Decides: nothing by itself; runs the pipeline over each utterance and says who spoke it.
Conventions: see `walkgrade.language.records`.
Public: `read`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from spacy.language import Language
from spacy.tokens import Doc

from walkgrade.checklists.records import Checklist
from walkgrade.language.lexicon import load_lexicon
from walkgrade.language.measures import with_measures
from walkgrade.language.pipeline import Vocabulary, build_pipeline
from walkgrade.language.questions import Question, questions_of
from walkgrade.language.records import Opinion, Reading, Utterance, Voice
from walkgrade.language.run_reader import RunReader
from walkgrade.language.tokens import Cut, cut, segment_speakers
from walkgrade.language.voices import sounds_like_examiner, trainee_labels
from walkgrade.speech.records import Transcript

_NUMBER, _SAME = "number", "same"
_LEAST = 0.003
"""Opinions below it are not kept."""


@lru_cache(maxsize=1)
def _pipeline() -> Language:
    return build_pipeline()


@lru_cache(maxsize=8)
def _questions(checklist: Checklist) -> tuple[Question, ...]:
    return questions_of(checklist)


@lru_cache(maxsize=8)
def _vocabulary(checklist: Checklist) -> Vocabulary:
    return Vocabulary(checklist, load_lexicon())


def read(
    transcript: Transcript, checklist: Checklist, run_reader: RunReader | None = None
) -> Reading:
    """Read a transcript against the vocabulary of a checklist (already fitted to the vehicle).

    Parameters
    ----------
    transcript : words with times; speakers may be labelled.
    checklist : gives the part names, wordings and places to look for.
    run_reader : gives its opinion on every question of the checklist; None gives none.
    """
    vocabulary = _vocabulary(checklist)
    trainee = trainee_labels(segment_speakers(transcript.segments))
    labelled = len({segment.speaker for segment in transcript.segments}) > 1
    utterances: list[Utterance] = []
    last_end = 0
    for number, piece in enumerate(cut(transcript), start=1):
        utterance = _read_one(vocabulary, piece, f"u{number}", trainee, labelled, last_end)
        last_end = utterance.end
        utterances.append(utterance)
    utterances = list(with_measures(utterances))
    return Reading(
        checklist=checklist.id,
        utterances=tuple(utterances),
        duration=transcript.duration,
        timed=transcript.timed,
        recognised=transcript.origin == "recognised",
        opinions=() if run_reader is None else _opinions(utterances, checklist, run_reader),
    )


def _opinions(
    utterances: list[Utterance], checklist: Checklist, run_reader: RunReader
) -> tuple[Opinion, ...]:
    """What the run reader makes of the trainee's utterances, without what it thinks idle."""
    questions = _questions(checklist)
    found = run_reader.answers(utterances, questions)
    rows, columns = np.nonzero((found.told >= _LEAST) | (found.against >= _LEAST))
    numbers = tuple(
        Opinion(
            row=row, kind=_NUMBER, targets=questions[column].targets, mention=which,
            told=round(float(chance[column]), 5),
        )
        for row, which, chance in found.numbers
        for column in np.flatnonzero(chance >= _LEAST)
        if questions[column].limit
    )  # fmt: skip
    same = tuple(
        Opinion(row=row, kind=_SAME, targets=questions[column].targets, told=round(chance, 5))
        for row, column, chance in found.same
        if chance >= _LEAST
    )
    return numbers + same + tuple(
        Opinion(
            row=int(row), kind=questions[column].kind, targets=questions[column].targets,
            told=round(float(found.told[row, column]), 5),
            against=round(float(found.against[row, column]), 5),
        )
        for row, column in zip(rows, columns, strict=True)
        if utterances[row].voice == Voice.TRAINEE
    )  # fmt: skip


def _read_one(
    vocabulary: Vocabulary,
    piece: Cut,
    name: str,
    trainee: frozenset[str],
    labelled: bool,
    last_end: int,
) -> Utterance:
    tokens = piece.tokens
    norms = [token.norm for token in tokens]
    other = piece.speaker not in trainee if piece.speaker or labelled else False
    if not labelled and not other:
        other = sounds_like_examiner(norms, question=piece.question)
    nlp = _pipeline()
    doc = Doc(nlp.vocab, words=[token.text for token in tokens])
    doc.user_data.update(vocabulary=vocabulary, tokens=tokens, question=piece.question)
    data = nlp(doc).user_data
    return Utterance(
        id=name,
        text=" ".join(token.text for token in tokens),
        start=tokens[0].start,
        end=max(token.end for token in tokens),
        gap=max(0, tokens[0].start - last_end),
        voice=Voice.OTHER if other else Voice.TRAINEE,
        tokens=tokens,
        parts=data["parts"],
        conditions=data["conditions"],
        patterns=data["patterns"],
        numbers=data["numbers"],
        places=data["places"],
        cues=data["cues"],
    )
