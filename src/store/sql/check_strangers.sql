-- Which messages and events name a member of another account?
SELECT 'message', message.inbound_id FROM message JOIN member ON member.id = message.member_id
WHERE member.account_id <> message.account_id
UNION ALL
SELECT 'event', event.account_id || '/' || event.sequence FROM event JOIN member ON member.id = event.member_id
WHERE member.account_id <> event.account_id
UNION ALL
SELECT 'event', event.account_id || '/' || event.sequence FROM event JOIN message ON message.inbound_id = event.cause
WHERE message.account_id <> event.account_id
