-- Puts a person who was moved here.
INSERT INTO member (account_id, id, name, role, created_at) VALUES (?1, ?2, ?3, ?4, ?5)
