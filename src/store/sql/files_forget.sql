-- Lets go of an account's files of one sort that came in before a time.
DELETE FROM file WHERE account_id = ?1 AND way = 'in' AND media_type LIKE ?2 AND at < ?3;
