-- Which letters of this chat went out in the response to this call of the provider?
SELECT id, account_id, chat_id, message_position, words, key, queued_at, attempts, pieces_sent
FROM outbox JOIN letter_piece ON letter_piece.letter_id = outbox.id
WHERE chat_id = ?1 AND letter_piece.outside_id = ?2 AND state = 'sent' ORDER BY id
