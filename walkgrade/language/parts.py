"""Part names in an utterance, by spelling and by sound.

Decides: which words name which items of the checklist, exactly or as a recogniser may have
misheard them, and which words name a sub-part ("hose", "belt") that only a neighbour can place.
Conventions: scores 0..1; a mention lists every item it may mean, matching decides which.
Overlap policy: longest name, then best score, then earliest.
Public: `PartIndex`.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein
from spacy.lang.en.stop_words import STOP_WORDS

from walkgrade.checklists.records import Checklist
from walkgrade.language.patterns import WordIndex
from walkgrade.language.records import PartMention, Token
from walkgrade.language.words import likeness, norm, sound, stem

_FILLERS = frozenset(("of", "the", "a", "an", "my", "our", "your", "this", "that"))
_ARTICLES = frozenset(("the", "my", "this", "these", "our", "your", "all"))
_JOINS = frozenset(("and", "or", "is", "are", "then", "next", "check", "with"))
_STOP = frozenset(STOP_WORDS) | frozenset(stem(word) for word in STOP_WORDS)
_SPLIT = re.compile(r"[\s\-/]+")
_FUZZY = 0.80  # least likeness of run-together words to a name, chosen on the tune part
_SHORTEST = 5  # letters below which only an exact or listed hearing counts
_Key = tuple[str, ...]


def name_words(name: str) -> _Key:
    """A name as the stems that tell it, fillers left out."""
    words = [
        f"={norm(piece[1:])}" if piece.startswith("=") else stem(norm(piece))
        for piece in _SPLIT.split(name)
        if norm(piece)
    ]
    return tuple(word for word in words if word not in _FILLERS) or tuple(words)


class PartIndex:
    """All names of a checklist, ready to be looked for.

    Parameters
    ----------
    checklist : its items' `names` and its requirements' `about` words.
    common : stems of everyday words that never stand for a part by sound alone.
    telling : stems that are conditions by themselves ("amber", "clean"): never short names.
    """

    def __init__(
        self, checklist: Checklist, common: frozenset[str], telling: frozenset[str] = frozenset()
    ) -> None:
        names: dict[_Key, dict[str, None]] = defaultdict(dict)
        subs: dict[_Key, dict[str, None]] = defaultdict(dict)
        for item in checklist.items:
            for name in (item.title, *item.names):
                names[name_words(name)][item.id] = None
            for requirement in item.requirements:
                for about in requirement.about:
                    subs[name_words(about)][item.id] = None
        self._names = {key: tuple(items) for key, items in names.items()}
        self._subs = {key: tuple(items) for key, items in subs.items() if key not in names}
        self._common = common
        counts: dict[str, int] = defaultdict(int)
        for key in (*self._names, *self._subs):
            for word in set(key):
                counts[word] += 1
        self._by_word: dict[str, list[tuple[_Key, bool]]] = defaultdict(list)
        for table, sub in ((self._names, False), (self._subs, True)):
            for key in table:
                self._by_word[min(key, key=lambda w: (counts[w], w))].append((key, sub))
        self._local = _local_words(checklist, _STOP | telling)
        self.words = frozenset(counts)
        self._joined = [key for key in self._names if len("".join(key)) >= _SHORTEST]
        self._spelled = ["".join(key) for key in self._joined]
        self._sounds = [sound(text) for text in self._spelled]

    def find(self, tokens: Sequence[Token], words: WordIndex) -> tuple[PartMention, ...]:
        """All mentions, in token order, without overlap."""
        found = self._exact(tokens, words)
        found += self._alike(tokens, found)
        named = tuple(
            self._widened(mention)
            for mention in _resolve(found + self._shared_heads(tokens, found))
        )
        return tuple(sorted((*named, *self._short(tokens, named)), key=lambda m: m.first))

    def _widened(self, mention: PartMention) -> PartMention:
        """A one-word name may also be short for a longer one elsewhere ("hose" at the brakes)."""
        more = () if mention.sub or " " in mention.name else self._local.get(mention.name, ())
        if not set(more) - set(mention.items):
            return mention
        return replace(mention, items=tuple(dict.fromkeys((*mention.items, *more))))

    def _short(self, tokens: Sequence[Token], named: tuple[PartMention, ...]) -> list[PartMention]:
        """Single words of longer names that open a clause."""
        covered = {at for m in named for at in range(m.first, m.last)}
        short = []
        for at, token in enumerate(tokens):
            items = self._local.get(token.stem)
            if items and at not in covered and _opens(tokens, at):
                short.append(
                    PartMention(
                        first=at, last=at + 1, items=items, name=token.stem, score=0.9, local=True
                    )
                )
        return short

    def _exact(self, tokens: Sequence[Token], words: WordIndex) -> list[PartMention]:
        found = []
        for word in words.where:
            for key, sub in self._by_word.get(word, ()):
                for first, last, score in _spans(key, word, words, tokens):
                    items = (self._subs if sub else self._names)[key]
                    found.append(
                        PartMention(
                            first=first,
                            last=last,
                            items=items,
                            name=" ".join(key),
                            score=score,
                            sub=sub,
                        )
                    )
        return found

    def _shared_heads(self, tokens: Sequence[Token], found: list[PartMention]) -> list[PartMention]:
        """ "red and amber student lights": the first word borrows the rest of the second's name."""
        borrowed = []
        for mention in found:
            key = tuple(mention.name.split(" "))
            at = mention.first
            if mention.sub or len(key) < 2 or at < 2 or tokens[at - 1].norm not in ("and", "or"):
                continue
            for tail in range(1, len(key)):
                other = self._names.get((tokens[at - 2].stem, *key[tail:]))
                if other is not None and other != mention.items:
                    borrowed.append(
                        PartMention(
                            first=at - 2,
                            last=at - 1,
                            items=other,
                            name=tokens[at - 2].stem,
                            score=0.9,
                        )
                    )
                    break
        return borrowed

    def _alike(self, tokens: Sequence[Token], exact: list[PartMention]) -> list[PartMention]:
        """Names heard as other words: compared run together, only where a word is unknown."""
        covered = {at for m in exact if not m.sub for at in range(m.first, m.last)}
        windows: dict[tuple[int, int], str] = {}
        for at, token in enumerate(tokens):
            if at in covered or not self._odd(token):
                continue
            for first in range(max(0, at - 2), at + 1):
                for last in range(at + 1, min(len(tokens), first + 3) + 1):
                    if any(t.breaks for t in tokens[first + 1 : last]) or covered & set(
                        range(first, last)
                    ):
                        continue
                    text = "".join(t.norm for t in tokens[first:last])
                    if len(text) >= _SHORTEST and tokens[first].stem not in _FILLERS:
                        windows[(first, last)] = text
        return self._compare(tokens, windows)

    def _compare(
        self, tokens: Sequence[Token], windows: dict[tuple[int, int], str]
    ) -> list[PartMention]:
        if not windows or not self._joined:
            return []
        texts = list(windows.values())
        spelled = process.cdist(texts, self._spelled, scorer=Levenshtein.normalized_similarity)
        voiced = process.cdist(
            [sound(text) for text in texts], self._sounds, scorer=Levenshtein.normalized_similarity
        )
        score = 0.5 * spelled + 0.5 * voiced
        found = []
        for row, (first, last) in enumerate(windows):
            best = int(np.argmax(score[row]))
            if score[row, best] >= _FUZZY and spelled[row, best] >= 0.6:
                key = self._joined[best]
                found.append(
                    PartMention(
                        first=first, last=last, items=self._names[key], name=" ".join(key),
                        score=float(score[row, best]) * 0.9,
                    )
                )  # fmt: skip
        return found

    def _odd(self, token: Token) -> bool:
        return (
            len(token.norm) >= 4
            and token.norm not in self._common
            and token.stem not in self._common
            and token.stem not in self.words
            and not token.norm[0].isdigit()
        )


def _opens(tokens: Sequence[Token], at: int) -> bool:
    """True when the token opens a clause, or follows an article or "and" that may open one."""
    if at == 0 or tokens[at].breaks:
        return True
    before = tokens[at - 1]
    if before.norm in _ARTICLES:
        return at == 1 or bool(before.breaks) or tokens[at - 2].norm in _JOINS
    return before.norm in ("and", "or")


def _local_words(checklist: Checklist, dull: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """For each telling word of the names: the items it tells at their own place."""
    heads: dict[tuple[str, str], dict[str, dict[str, None]]] = defaultdict(
        lambda: defaultdict(dict)
    )
    words: dict[tuple[str, str], dict[str, dict[str, None]]] = defaultdict(
        lambda: defaultdict(dict)
    )
    for item in checklist.items:
        zone = (item.section, item.place)
        for name in item.names:
            key = [w for w in name_words(name) if w not in dull and w[0] not in "=0123456789"]
            for word in key:
                words[zone][word][item.id] = None
            if key:
                heads[zone][key[-1]][item.id] = None
    told: dict[str, dict[str, None]] = defaultdict(dict)
    for table in (heads, words):
        for zone, found in table.items():
            for word, items in found.items():
                if len(items) == 1 and (table is heads or word not in heads[zone]):
                    told[word].update(items)
    return {word: tuple(items) for word, items in told.items()}


def _spans(
    key: _Key, anchor: str, words: WordIndex, tokens: Sequence[Token]
) -> list[tuple[int, int, float]]:
    """Places where all words of a name stand together: (first, last, score)."""
    if len(key) == 1:
        return [(at, at + 1, words.forms[at][anchor]) for at in words.where[anchor]]
    found = []
    for start in words.where[anchor]:
        taken = _gather(key, anchor, start, words)
        if taken is None:
            continue
        first, last = min(taken), max(taken) + 1
        broken = any(t.breaks for t in tokens[first + 1 : last])
        ordered = taken == sorted(taken)
        extra = last - first - len(key)
        fillers = sum(1 for t in tokens[first:last] if t.stem in _FILLERS)
        turned = any(t.norm in ("of", "for", "on") for t in tokens[first:last]) or extra == 0
        if broken or extra > 2 or (not ordered and (extra > fillers or not turned)):
            continue
        score = min(words.forms[at][word] for at, word in zip(taken, key, strict=True))
        score -= 0.06 * max(0, extra - fillers) + (0.0 if ordered else 0.12)
        found.append((first, last, score))
    return found


def _gather(key: _Key, anchor: str, start: int, words: WordIndex) -> list[int] | None:
    """Positions of the name's words nearest to the anchor, None when one is out of reach."""
    taken: list[int] = []
    for word in key:
        if word == anchor:
            taken.append(start)
            continue
        spots = [at for at in words.where.get(word, ()) if at not in taken and at != start]
        near = min(spots, key=lambda at: abs(at - start), default=None)
        if near is None or abs(near - start) > len(key) + 2:
            return None
        taken.append(near)
    return taken


def _resolve(found: list[PartMention]) -> tuple[PartMention, ...]:
    """Merge mentions of one span, then drop those overlapped by a better one."""
    merged: dict[tuple[int, int, bool], PartMention] = {}
    for mention in found:
        key = (mention.first, mention.last, mention.sub)
        old = merged.get(key)
        if old is None or mention.score > old.score + 0.05:
            merged[key] = mention
        elif mention.score >= old.score - 0.05:
            items = tuple(dict.fromkeys((*old.items, *mention.items)))
            merged[key] = PartMention(
                first=old.first, last=old.last, items=items, name=old.name,
                score=max(old.score, mention.score), sub=old.sub,
            )  # fmt: skip
    order = sorted(
        merged.values(),
        key=lambda m: (m.sub, -(len(m.name.split()) * m.score), m.last - m.first, m.first, m.name),
    )
    kept: list[PartMention] = []
    for mention in order:
        if all(mention.last <= k.first or mention.first >= k.last for k in kept):
            kept.append(mention)
    return tuple(sorted(kept, key=lambda m: m.first))


def heard_forms(
    tokens: Sequence[Token], confusions: dict[str, dict[str, float]], known: frozenset[str],
    common: frozenset[str], cache: dict[str, dict[str, float]],
) -> list[dict[str, float]]:  # fmt: skip
    """For each token the stems it may stand for.

    Its own stem counts 1.0; listed confusions their weight; an unknown word also the known words
    it is spelled and sounds like (0.82 or more).
    """
    forms = []
    for token in tokens:
        made = cache.get(token.norm)
        if made is None:
            made = {token.stem: 1.0, f"={token.norm}": 1.0}
            for meant, weight in confusions.get(token.norm, {}).items():
                made.setdefault(meant, weight)
            if (
                token.stem not in known
                and token.norm not in common
                and token.stem not in common
                and len(token.norm) >= 5
                and token.norm.isalpha()
            ):
                for word in known:
                    if abs(len(word) - len(token.stem)) <= 2 and word[0] == token.stem[0]:
                        alike = likeness(token.stem, word)
                        if alike >= 0.82:
                            made.setdefault(word, alike * 0.95)
            cache[token.norm] = made
        forms.append(made)
    return forms
