-- Notes that a chat is answered elsewhere from now on.
UPDATE chat SET room = ?2 WHERE id = ?1
