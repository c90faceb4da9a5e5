-- Which files came with this message?
SELECT id, media_type, name FROM file WHERE message_position = ?2 AND account_id = ?1 AND way = 'in' ORDER BY id
