using RenderGraph.Graph.Contracts;
using RenderGraph.Songs.Playing;

namespace RenderGraph.Songs.Situations;

/// <summary>A drum kit with close microphones and overheads, an electric bass by wire and by amplifier, guitars, a voice; sometimes toms and a piano.</summary>
internal static class LiveBand
{
    public static (int TempoBpm, IReadOnlyList<Part> Parts) Compose(Stage stage, Dice dice)
    {
        var kickHz = Math.Round(dice.Between(52, 66), 1);
        var score = new Score(stage, dice, 92 + dice.Below(50), 33 + dice.Below(5), startSeconds: 0.25);
        var kicks = score.Hits(kickHz, 0.25, dice.OneIn(2) ? [0, 2] : [0, 1.5, 2]);
        var snare = Drums.Snare(stage, score.Hits(dice.Between(170, 210), 0.15, 1, 3), 0.26, 21);
        var cymbals = Drums.Bright(stage, score.Hits(0, 0.4, 0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5), 0.1, 60, 31, channels: 2);
        var kick = Drums.Kick(stage, kicks, 0.5, 55, 120, 0.25, 11);
        Microphones.AddBleed(stage, kick, snare, 0.8, 0.03);
        var parts = new List<Part> { new(dice.Of("Kick In", "Kick", "BD In", "Kik", "Bass Drum", "Kick 1"), kick, IsAnchor: true) };
        if (dice.OneIn(2))
        {
            // A second microphone at the front head: half a metre further away, and now and then upside down.
            var outside = stage.Silence();
            Microphones.AddBleed(stage, outside, Drums.Kick(stage, kicks, 0.4, 80, 90, 0.03, 12), 0.5, dice.OneIn(3) ? -1 : 1, 0.2);
            parts.Add(new(parts[0].Name.StartsWith("BD", StringComparison.Ordinal) ? "BD Out" : "Kick Out", outside));
        }

        parts.Add(new(dice.Of("Snare Top", "Snare", "SN", "SD"), snare));
        if (dice.OneIn(2))
            parts.Add(new(dice.Of("Floor Tom", "Toms", "Tom Low"), Drums.Toms(stage, score.Hits(dice.Between(78, 95), 0.3, 3.5), 0.35, 41)));
        var overheads = cymbals;
        Microphones.AddBleed(stage, overheads, snare, 1.1, 0.3, 0.1);
        Microphones.AddBleed(stage, overheads, kick, 1.4, 0.12, 0.2);
        parts.Add(new(dice.Of("OH", "Overheads", "Over Heads"), overheads));

        var line = score.Roots(0, 0.5, 0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5);
        var bass = Tones.Plucked(stage, line, dice.Between(0.2, 0.28), 300);
        parts.Add(new(dice.Of("Bass DI", "Bass", "Bass Gtr", "E-Bass", "Bass Guitar"), bass));
        if (dice.OneIn(2))
        {
            var amplifier = stage.Silence();
            Microphones.AddBleed(stage, amplifier, Tones.Driven(stage, line, 0.14), 0.4, 1, 0.55);
            parts.Add(new(dice.Of("Bass Amp", "Bass Cab"), amplifier));
        }

        parts.Add(new(dice.Of("Gtr L", "Guitar L", "E Gtr 1"), Strum(stage, score, 0.055, 220, laterMs: 0)));
        parts.Add(new(dice.Of("Gtr R", "Guitar R", "E Gtr 2"), Strum(stage, score, 0.06, 180, laterMs: 14)));
        if (dice.OneIn(3))
            parts.Add(new(dice.Of("Piano", "Keys", "Flügel"), Tones.Keys(stage, score.Chords(1, 2, withLowRoot: true, 0, 2), 0.05, 700)));
        var voice = Voices.Voice(stage, score.Tune(2), 0.12, glides: false);
        Voices.AddRumble(stage, voice, 0.8, 51);
        parts.Add(new(dice.Of("Lead Vox", "Vocal", "Voice", "Voc Lead"), voice));
        return (score.TempoBpm, parts);
    }

    // Twice the same, but played twice: the second a little later and higher.
    private static Signal Strum(Stage stage, Score score, double amplitude, double halfMs, double laterMs) => Tones.Plucked(
        stage, [.. score.Chords(2, 0.5, withLowRoot: true, 0, 0.5, 1.5, 2, 2.5, 3.5).Select(note => note with { Seconds = note.Seconds + (laterMs / 1000), PitchHz = note.PitchHz * (1 + (laterMs / 5000)) })],
        amplitude, halfMs);
}
