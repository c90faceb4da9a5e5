-- Takes back the codes of a member.
DELETE FROM connect_code WHERE member_id = ?1
