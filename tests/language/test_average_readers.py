"""Averaging readers: the mean of the numbers that int8 codes stand for."""

from __future__ import annotations

import numpy as np
import pytest

from models.average_readers import main, mean_codes, mean_of

Part = tuple[np.ndarray, np.ndarray, np.ndarray]


def worth(part: Part) -> np.ndarray:
    codes, scale, zero = part
    return (codes.astype(np.float64) - zero.astype(np.float64)) * scale


def signed(seed: int) -> Part:
    random = np.random.default_rng(seed)
    codes = random.integers(-127, 128, (40, 6)).astype(np.int8)
    codes[0] = 127
    scale = random.uniform(0.001, 0.1, 6).astype(np.float32)
    return codes, scale, np.zeros(6, np.int8)


def unsigned(seed: int) -> Part:
    random = np.random.default_rng(seed)
    codes = random.integers(0, 256, (40, 6)).astype(np.uint8)
    codes[0, 0], codes[0, 1] = 0, 255
    return codes, np.array([random.uniform(0.001, 0.1)], np.float32), np.array([99], np.uint8)


@pytest.mark.parametrize("kind", [signed, unsigned])
def test_the_mean_of_a_reader_with_itself_is_itself(kind: object) -> None:
    part = kind(1)  # type: ignore[operator]
    made = mean_codes([0.3, 0.7], [part, part])
    assert np.array_equal(made[0], part[0])
    assert np.allclose(made[1], part[1])
    assert np.array_equal(made[2], part[2])


@pytest.mark.parametrize("kind", [signed, unsigned])
def test_the_mean_is_within_half_a_code(kind: object) -> None:
    one, other = kind(1), kind(2)  # type: ignore[operator]
    made = mean_codes([0.25, 0.75], [one, other])
    wanted = 0.25 * worth(one) + 0.75 * worth(other)
    assert np.all(np.abs(worth(made) - wanted) <= 0.5001 * made[1] + made[1] * (kind is unsigned))
    assert (made[0].dtype, made[1].shape, made[2].shape) == (
        one[0].dtype,
        one[1].shape,
        one[2].shape,
    )


def test_a_column_of_nothing_stays_nothing() -> None:
    codes, scale, zero = signed(1)
    codes[:, 2] = 0
    assert not worth(mean_codes([1.0], [(codes, scale, zero)]))[:, 2].any()


def test_plain_numbers_are_averaged_and_others_left_out() -> None:
    one = {"bias": np.array([1.0, 3.0], np.float32), "shape": np.array([1, 2])}
    other = {"bias": np.array([3.0, 3.0], np.float32), "shape": np.array([1, 2])}
    made = mean_of([0.5, 0.5], [one, other])
    assert list(made) == ["bias"]
    assert made["bias"].tolist() == [2.0, 3.0]


def test_shares_that_do_not_add_up_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--out", "nowhere", "0.5:a", "0.6:b"])
    assert "1.1" in capsys.readouterr().err
