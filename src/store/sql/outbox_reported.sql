-- Notes that a letter did not arrive of which a provider took a piece, whether the rest has gone out or not. It is sent from its
-- beginning when it is sent again.
UPDATE outbox SET state = 'given up', sent_at = NULL, pieces_sent = 0, last_failure = ?3, leased_until = NULL
WHERE id = (
    SELECT letter_piece.letter_id
    FROM letter_piece JOIN outbox AS sent ON sent.id = letter_piece.letter_id JOIN chat ON chat.id = sent.chat_id
    WHERE letter_piece.outside_id = ?2 AND chat.channel = ?1 ORDER BY letter_piece.letter_id DESC LIMIT 1
) AND state <> 'given up'
RETURNING id, chat_id
