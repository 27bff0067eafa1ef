"""Files of the inbox are taken in batches of bounded number and size."""

import pytest

from pipeline.inbox import in_batches


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        ([], []),
        ([1, 1, 1, 1, 1], [3, 2]),
        ([6, 6, 6], [1, 1, 1]),
        ([4, 4, 4], [2, 1]),
        ([1, 50, 1], [1, 1, 1]),
    ],
)
def test_a_batch_holds_three_files_or_ten_bytes_and_none_is_left_out(tmp_path, sizes, expected):
    paths = [tmp_path / f"{at}.csv" for at in range(len(sizes))]
    for path, size in zip(paths, sizes, strict=True):
        path.write_bytes(b"x" * size)
    batches = list(in_batches(paths, most_files=3, most_bytes=10))
    assert [len(batch) for batch in batches] == expected
    assert [path for batch in batches for path in batch] == paths
