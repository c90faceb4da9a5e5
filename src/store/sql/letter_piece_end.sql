-- Forgets what the provider called the pieces of a letter: it goes out from its beginning, if it goes out again.
DELETE FROM letter_piece WHERE letter_id = ?1
