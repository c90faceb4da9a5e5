-- Ties an address to a member.
INSERT INTO chat (account_id, member_id, channel, address, room, bound_at, heard_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?6)
