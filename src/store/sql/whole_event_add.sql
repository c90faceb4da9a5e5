-- Puts a fact that was moved here.
INSERT INTO event (account_id, sequence, kind, version, recorded_at, cause, member_id, payload)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
