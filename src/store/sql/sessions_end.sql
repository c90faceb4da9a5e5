-- Ends every session of a member.
DELETE FROM session WHERE member_id = ?1
