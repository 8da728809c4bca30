using RenderGraph.Graph.Contracts;
using RenderGraph.Songs.Playing;

namespace RenderGraph.Songs.Situations;

/// <summary>Somebody speaks, close to a microphone that rumbles and pops; beneath lies music, as one file or as several.</summary>
internal static class SpokenWordWithMusicBed
{
    public static (int TempoBpm, IReadOnlyList<Part> Parts) Compose(Stage stage, Dice dice)
    {
        var score = new Score(stage, dice, 76 + dice.Below(36), 31 + dice.Below(6), startSeconds: 0);
        var pitchHz = dice.OneIn(2) ? dice.Between(95, 130) : dice.Between(170, 220);
        var parts = new List<Part> { new(dice.Of("Voice", "Narrator", "Host", "Speaker", "VO", "Stimme"), Speech(stage, dice, pitchHz, 0.3, 51), IsAnchor: true) };
        if (dice.OneIn(3))
            parts.Add(new(dice.Of("Guest", "Voice 2", "Guest Voice"), Speech(stage, dice, pitchHz * 1.3, 1.9, 52)));

        var bass = Tones.Sub(stage, score.Roots(0, 2, 0, 2), 0.12);
        var kick = Drums.Kick(stage, score.Hits(54, 0.2, 0, 2), 0.18, 70, 120, 0.05, 11);
        var chords = Tones.Keys(stage, score.Chords(1, 4, withLowRoot: true, 0), 0.035, 2500);
        var bed = stage.Silence(2);
        Microphones.AddBleed(stage, bed, chords, 0, 1, 0);
        if (dice.OneIn(2))
        {
            Microphones.AddBleed(stage, bed, bass, 0, 1, 0);
            Microphones.AddBleed(stage, bed, kick, 0, 1, 0);
            parts.Add(new(dice.Of("Music Bed", "Music", "Bed", "Underscore"), bed));
        }
        else
        {
            parts.Add(new(dice.Of("Music", "Music Pads", "Bed"), bed));
            parts.Add(new(dice.Of("Music Bass", "Bed Bass"), bass));
            parts.Add(new(dice.Of("Music Drums", "Bed Drums"), kick));
        }

        if (dice.OneIn(2))
            parts.Add(new(dice.Of("Atmo", "Street Noise", "Effects", "Café"), Drums.Bright(stage, score.Hits(0, 0.6, 0, 1, 2, 3), 0.05, 300, 71, channels: 2)));
        return (score.TempoBpm, parts);
    }

    // Syllables with a pause after every few of them.
    private static Signal Speech(Stage stage, Dice dice, double pitchHz, double startSeconds, ulong seed)
    {
        var (syllables, pops) = (new List<Note>(), new List<double>());
        for (var at = startSeconds; at < stage.Seconds; at += dice.OneIn(7) ? 0.55 : 0)
        {
            var length = dice.Between(0.1, 0.24);
            syllables.Add(new(at, length, pitchHz * dice.Between(0.9, 1.15), dice.Between(0.6, 1)));
            if (dice.OneIn(6))
                pops.Add(at);
            at += length + 0.03;
        }

        var voice = Voices.Voice(stage, syllables, 0.4, glides: true);
        Voices.AddPops(stage, voice, pops, 0.25);
        Voices.AddRumble(stage, voice, 1.5, seed);
        return voice;
    }
}
