-- Notes that something was heard in a chat, and where it is answered.
UPDATE chat SET heard_at = ?2, room = ?3 WHERE id = ?1
