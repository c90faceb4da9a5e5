-- Notes that a message is handled, or dropped; its words are in the book by now, or nowhere.
UPDATE waiting SET state = ?2, text = '', callback = NULL, media = '[]', leased_until = NULL, last_failure = ?3
WHERE id = ?1 AND state = 'waiting'
