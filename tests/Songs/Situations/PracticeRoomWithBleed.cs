using RenderGraph.Graph.Contracts;
using RenderGraph.Songs.Playing;

namespace RenderGraph.Songs.Situations;

/// <summary>A band in one small room: a few microphones, and each hears everybody, later and duller.</summary>
internal static class PracticeRoomWithBleed
{
    public static (int TempoBpm, IReadOnlyList<Part> Parts) Compose(Stage stage, Dice dice)
    {
        var score = new Score(stage, dice, 96 + dice.Below(40), 33 + dice.Below(5), startSeconds: 0.3);
        var kick = Drums.Kick(stage, score.Hits(Math.Round(dice.Between(55, 70), 1), 0.3, 0, 1.5, 2), 0.45, 50, 110, 0.15, 11);
        var snare = Drums.Snare(stage, score.Hits(dice.Between(170, 200), 0.2, 1, 3), 0.3, 21);
        var cymbals = Drums.Bright(stage, score.Hits(0, 0.4, 0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5), 0.12, 60, 31);
        var bass = Tones.Plucked(stage, score.Roots(0, 0.5, 0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5), 0.26, 320);
        var guitar = Tones.Plucked(stage, score.Chords(2, 0.5, withLowRoot: true, 0, 0.5, 1.5, 2, 2.5, 3.5), 0.08, 220);
        var voice = Voices.Voice(stage, score.Tune(2), 0.16, glides: false);
        Signal[] all = [kick, snare, cymbals, bass, guitar, voice];

        // What each hears of the others: the drums' microphones hear the drums most.
        Signal Heard(Signal own, double drums, double others, ulong rumbleSeed)
        {
            var sound = stage.Silence();
            own.CopyTo(sound);
            foreach (var other in all.Where(other => !Same(other, own)))
            {
                var isDrum = Same(other, kick) || Same(other, snare) || Same(other, cymbals);
                Microphones.AddBleed(stage, sound, other, dice.Between(1, 3), isDrum ? drums : others, dice.Between(0.3, 0.7));
            }

            Voices.AddRumble(stage, sound, 0.5, rumbleSeed);
            return sound;
        }

        var room = stage.Silence(2);
        foreach (var other in all)
            Microphones.AddBleed(stage, room, other, dice.Between(2, 4), 0.3, dice.Between(0.3, 0.6));

        var parts = new List<Part>
        {
            new(dice.Of("Kick", "Kick Mic", "BD", "Bass Drum"), Heard(kick, 0.14, 0.05, 61), IsAnchor: true),
            new(dice.Of("Snare", "Snare Mic", "SN"), Heard(snare, 0.3, 0.08, 62)),
            new(dice.Of("Bass Amp", "Bass", "Bass Mic"), Heard(bass, 0.12, 0.06, 63)),
            new(dice.Of("Guitar Amp", "Gtr", "E-Guitar"), Heard(guitar, 0.15, 0.15, 64)),
        };
        if (!dice.OneIn(4))
            parts.Add(new(dice.Of("Room", "Room Mics", "Ambience"), room));
        if (!dice.OneIn(3))
            parts.Add(new(dice.Of("Vocal", "Vox", "Voice Mic"), Heard(voice, 0.25, 0.2, 65)));
        return (score.TempoBpm, parts);
    }

    private static bool Same(Signal one, Signal other) => one[0] == other[0];
}
