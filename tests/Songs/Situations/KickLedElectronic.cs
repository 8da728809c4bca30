using RenderGraph.Songs.Playing;

namespace RenderGraph.Songs.Situations;

/// <summary>A kick on every beat with a deep ring, a sub that is held right where it rings, and a gritty bass above; pads, hats, claps.</summary>
internal static class KickLedElectronic
{
    public static (int TempoBpm, IReadOnlyList<Part> Parts) Compose(Stage stage, Dice dice)
    {
        var kickHz = Math.Round(dice.Between(45, 57), 1);
        var score = new Score(stage, dice, 116 + dice.Below(24), 32 + dice.Below(4), startSeconds: 0);
        var kicks = score.Hits(kickHz, 0.05, 0, 1, 2, 3);
        var parts = new List<Part>
        {
            new(dice.Of("Kick", "BD", "Kik", "Bass Drum", "Kick Drum", "Kick Main"), Drums.Kick(stage, kicks, 0.55, 95, 190, 0.15, 11), IsAnchor: true),
            new(dice.Of("Sub", "Sub Bass", "SubBass", "Bass Sub", "Deep Bass"), Tones.Sub(stage, score.Roots(0, 4, 0), dice.Between(0.24, 0.34))),
        };
        if (!dice.OneIn(4))
            parts.Add(new(dice.Of("Bass", "Mid Bass", "Bass Grit", "Bassline", "Growl Bass"), Tones.Driven(stage, score.Roots(1, 0.5, 0.5, 1.5, 2.5, 3.5), 0.16)));
        if (dice.OneIn(3))
            parts.Add(new(dice.Of("Kick Top", "Kick Click"), Drums.Kick(stage, kicks, 0.03, 20, 400, 0.3, 12)));
        parts.Add(new(dice.Of("Pad", "Synth Pad", "Warm Pad", "Chords"), Tones.Keys(stage, score.Chords(1, 4, withLowRoot: true, 0), 0.05, 3000)));
        parts.Add(new(dice.Of("Clap", "Claps", "Snare"), Drums.Snare(stage, score.Hits(210, 0.1, 1, 3), 0.2, 21)));
        parts.Add(new(dice.Of("Hats", "HH", "Hi Hat", "Offbeat Hat"), Drums.Bright(stage, score.Hits(0, 0.3, 0.5, 1.5, 2.5, 3.5), 0.2, 30, 31)));
        if (dice.OneIn(2))
            parts.Add(new(dice.Of("Arp", "Pluck", "Lead", "Carillón"), Tones.Plucked(stage, score.Tune(3), 0.08, 120)));
        if (dice.OneIn(3))
            parts.Add(new(dice.Of("Vocal Chop", "Vox", "Voice"), Voices.Voice(stage, score.Tune(2), 0.08, glides: false)));
        return (score.TempoBpm, parts);
    }
}
