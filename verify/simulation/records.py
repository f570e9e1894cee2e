"""The records that pass between parent and player.

Stimulus, big-endian 32-bit words: blocks of rows. A block begins with a header row whose first word
is the number of rows that follow (0 ends the burst, and the value is then its nonce). A row is a
clock count below 2**30 (0: only drive; 2**31: only drive, in the first half of the cycle) and the
input vector, most significant word first.

Trace, little-endian 32-bit words: the output vector, least significant word first, and a word that
holds a tag in bits 31:30 and the cycle number modulo 2**30 below. On a four-state simulator each
word is a pair (a bits, b bits), as ``%z`` of IEEE 1364-2005 17.2.3 writes it.
"""

__all__ = ["BLOCK_ROWS", "COUNT_BITS", "EARLY", "TAG_BEAT", "TAG_END", "TAG_SAMPLE"]

BLOCK_ROWS = 512
"""Most rows in a block. The player gives a sign of life after each full block, and each so many clocks."""
COUNT_BITS = 30
EARLY = 1 << 31
"""In place of a clock count: drive at once, while the clock still is at its active level."""
TAG_SAMPLE = 0
TAG_BEAT = 2
"""A sign of life: it says how far the burst has come; its value means nothing."""
TAG_END = 3
"""The burst is over: cycle number is its length, value its nonce."""
