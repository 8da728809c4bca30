using RenderGraph.Graph.Contracts;
using RenderGraph.Songs.Playing;

namespace RenderGraph.Songs.Situations;

/// <summary>A bass that walks and owns the low end; a piano or a guitar whose low strings get in its way, now and then a cello or a low drum, a voice.</summary>
internal static class BassLedWithoutKick
{
    public static (int TempoBpm, IReadOnlyList<Part> Parts) Compose(Stage stage, Dice dice)
    {
        var score = new Score(stage, dice, 80 + dice.Below(50), 33 + dice.Below(4), startSeconds: 0.2);
        var parts = new List<Part>
        {
            new(dice.Of("Bass", "Upright Bass", "Double Bass", "Contrabass", "Acoustic Bass", "Kontrabass"), Tones.Plucked(stage, score.Walk(), 0.34, 420), IsAnchor: true),
            new(dice.Of("Piano", "Grand Piano", "Keys", "Flügel", "E Piano"), Tones.Keys(stage, score.Chords(1, 2, withLowRoot: true, 0, 2), 0.085, 900)),
        };
        if (dice.OneIn(2))
            parts.Add(new(dice.Of("Acoustic Gtr", "Guitar", "Nylon Guitar"), Tones.Plucked(stage, score.Chords(2, 1, withLowRoot: true, 0.5, 1.5, 2.5, 3.5), 0.06, 300)));
        if (dice.OneIn(2))
            parts.Add(new(dice.Of("Cello", "Violoncello", "Bass Clarinet"), Held(stage, score)));
        if (dice.OneIn(3))
            parts.Add(new(dice.Of("Cajon", "Cajón", "Frame Drum"), Drums.Toms(stage, score.Hits(dice.Between(75, 90), 0.3, 1, 3), 0.15, 41)));
        parts.Add(new(dice.Of("Brushes", "Shaker", "Güiro", "Ride"), Drums.Bright(stage, score.Hits(0, 0.4, 0, 1, 1.5, 2, 3, 3.5), 0.12, 50, 31)));
        var voice = Voices.Voice(stage, score.Tune(2), 0.14, glides: false);
        Voices.AddRumble(stage, voice, 0.8, 51);
        parts.Add(new(dice.Of("Voice", "Vox", "Vocals", "Gesang"), voice));
        return (score.TempoBpm, parts);
    }

    private static Signal Held(Stage stage, Score score)
    {
        var bowed = stage.Silence();
        Microphones.AddBleed(stage, bowed, Tones.Driven(stage, score.Roots(1, 4, 0), 0.11), 0.3, 1, 0.75);
        return bowed;
    }
}
