-- Notes that a migration was applied.
INSERT INTO migration (number, name, sha256, applied_at) VALUES (?1, ?2, ?3, ?4)
