-- Notes what the provider calls a piece that it took.
INSERT INTO letter_piece (letter_id, piece, outside_id) VALUES (?1, ?2, ?3)
ON CONFLICT (letter_id, piece) DO UPDATE SET outside_id = excluded.outside_id
