-- Counts a wrong try against a code.
UPDATE connect_code SET tries = tries + 1 WHERE name = ?1
