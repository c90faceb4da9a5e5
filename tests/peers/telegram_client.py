"""python-telegram-bot talks to the stand-in for the Bot API at the address given, and finds what it expects there."""
import asyncio
import sys

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, Conflict, RetryAfter

URL, TOKEN = sys.argv[1:3]


async def main() -> None:
    async with Bot(TOKEN, base_url=f"{URL}/bot", base_file_url=f"{URL}/file/bot") as bot:
        assert (await bot.get_me()).username == "yard_bot"
        await bot.set_webhook("https://yard.example.com/hooks/telegram", secret_token="k3y_Only")
        assert (await bot.get_webhook_info()).url == "https://yard.example.com/hooks/telegram"
        try:
            await bot.get_updates()
            raise AssertionError("a webhook is set, so asking is a conflict")
        except Conflict as conflict:
            assert "webhook is active" in str(conflict)
        await bot.delete_webhook()

        updates = await bot.get_updates(timeout=1)
        assert [bool(update.message and update.message.voice) for update in updates] == [True, False, False], updates
        voice = updates[0].message.voice
        assert voice.file_id == "V1" and updates[1].message.text == "12 small crapes"
        assert updates[2].callback_query.data == "17:2"
        assert len(await bot.get_updates(timeout=1)) == 3, "what was not left behind comes again"
        assert await bot.get_updates(offset=updates[-1].update_id + 1, timeout=1) == ()

        file = await bot.get_file(voice.file_id)
        assert bytes(await file.download_as_bytearray()) == b"OggS voice"
        try:
            await bot.get_file("GONE")
            raise AssertionError("there is no such file")
        except BadRequest as wrong:
            assert "invalid file_id" in str(wrong).lower()

        keyboard = InlineKeyboardMarkup([[InlineKeyboardButton("small", callback_data="17:1")]])
        sent = await bot.send_message(42, "What size?", reply_markup=keyboard)
        assert sent.chat.id == 42 and sent.text == "What size?"
        await bot.send_photo(42, b"\x89PNG\r\n\x1a\n0123456789", filename="plot.png")
        assert await bot.send_chat_action(42, "typing")
        assert await bot.answer_callback_query(updates[2].callback_query.id)
        try:
            await bot.send_message(42, "too fast")
            raise AssertionError("it was to be refused")
        except RetryAfter as later:
            seconds = getattr(later.retry_after, "total_seconds", lambda: later.retry_after)()
            assert seconds == 7, seconds


asyncio.run(main())
