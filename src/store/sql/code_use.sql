-- Uses up a code.
UPDATE connect_code SET used_at = ?2 WHERE name = ?1
