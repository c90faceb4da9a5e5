-- Takes back every sign-in link of a member.
DELETE FROM sign_in_link WHERE member_id = ?1
