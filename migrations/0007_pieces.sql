-- What a provider calls each piece of a letter that it took: a report on any of them is one on the letter.
CREATE TABLE letter_piece (
    letter_id INTEGER NOT NULL REFERENCES outbox (id),
    piece INTEGER NOT NULL CHECK (piece > 0),
    outside_id TEXT NOT NULL,
    PRIMARY KEY (letter_id, piece)
) STRICT, WITHOUT ROWID;

CREATE INDEX letter_piece_outside ON letter_piece (outside_id);

INSERT INTO letter_piece (letter_id, piece, outside_id)
SELECT id, MAX(pieces_sent, 1), outside_id FROM outbox WHERE outside_id IS NOT NULL;

DROP INDEX outbox_outside;
ALTER TABLE outbox DROP COLUMN outside_id;
