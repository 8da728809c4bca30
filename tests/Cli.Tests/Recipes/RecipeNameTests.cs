using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes;
using RenderGraph.Songs;
using Xunit;

namespace RenderGraph.Cli.Tests.Recipes;

/// <summary>Which stem takes a file is all that a recipe knows of a song: names as sessions have them, by common practice.</summary>
public sealed class RecipeNameTests
{
    [Theory]
    [InlineData("kick", "Kick", "KICK 01", "03_kik", "BD", "bd_48k", "01-BD", "Song - Bass Drum", "BassDrum", "Grosse Caisse", "Bombo")]
    [InlineData("kickTop", "Kick Top", "04 kick click", "Kik-Top_01")]
    [InlineData("sub", "Sub", "Sub Bass", "SUBBASS", "Bass Sub", "02 deep-bass", "Low Bass")]
    [InlineData("bass", "Bass", "Mid Bass", "BASSLINE", "Synth Bass", "Basse", "BS_01")]
    [InlineData("airy", "Pads", "Synth Strings", "Vox Chop", "E Guitar", "Chords", "Lead 2")]
    [InlineData("others", "Claps", "HH", "Toms", "Impact", "Sharp Snare", "Abdomen", "Absolute", "Percussão")]
    public void ElectronicNamesGoWhereTheyBelong(string stem, params string[] names) => GoTo(Situation.KickLedElectronic, stem, names);

    [Theory]
    [InlineData("kick", "Kick In", "BD in", "Bass Drum", "kick - take 2", "Kick 1")]
    [InlineData("kickOther", "Kick Out", "05_BD_OUT", "kick front", "Kick Sub", "Kick Out - take 2")]
    [InlineData("snare", "Snare Top", "snare bottom", "SN", "02 sd", "Caisse Claire")]
    [InlineData("bass", "Bass DI", "bass-amp", "E-Bass", "Sub", "Bass Gtr", "Basse")]
    [InlineData("guitars", "Gtr L", "Acoustic Guitar", "E-Gitarre", "A-Git 2", "E-Git")]
    [InlineData("keys", "Piano", "FLÜGEL", "Flu\u0308gel", "Organ")]
    [InlineData("voices", "Lead Vox", "Voc 2", "BV Voc", "Backing Vocals", "Singer", "Gesang", "Choir")]
    [InlineData("others", "Toms", "Floor Tom", "OH", "Overheads", "Room", "Trumpet", "Snapshot", "Missed", "Crossing - Toms", "Avocado OH")]
    public void BandNamesGoWhereTheyBelong(string stem, params string[] names) => GoTo(Situation.LiveBand, stem, names);

    [Theory]
    [InlineData("bass", "Bass", "Upright", "Double Bass", "Kontrabass", "Contrebasse")]
    [InlineData("lowOthers", "Cello", "Violoncello", "Bass Clarinet", "bass_trombone", "Tuba", "Bassoon")]
    [InlineData("keys", "Piano", "E Piano", "Harp", "Accordion")]
    [InlineData("guitars", "Nylon Gtr", "Acoustic Guitar", "Ukulele")]
    [InlineData("voices", "Voice", "vocals", "Gesang")]
    [InlineData("others", "Brushes", "Cajón", "Frame Drum", "Violin", "Obsidian")]
    public void BassLedNamesGoWhereTheyBelong(string stem, params string[] names) => GoTo(Situation.BassLedWithoutKick, stem, names);

    [Theory]
    [InlineData("kick", "Kick Mic", "BD", "bass_drum")]
    [InlineData("bass", "Bass Amp", "Bass DI", "bass mic")]
    [InlineData("room", "Room", "Overheads", "OH L", "Ambience")]
    [InlineData("voices", "Vocal", "Voice Mic")]
    [InlineData("others", "Snare", "Keys", "John's", "Guitar Amp")]
    public void PracticeRoomNamesGoWhereTheyBelong(string stem, params string[] names) => GoTo(Situation.PracticeRoomWithBleed, stem, names);

    [Theory]
    [InlineData("voice", "Voice", "Narrator", "Host", "VO", "Main Speaker", "Stimme", "Voice - take 2")]
    [InlineData("guests", "Guest", "Voice 2", "Guest Voice", "voice_2", "Interview")]
    [InlineData("bed", "Music", "Music Bed", "Bed Bass", "Music Drums", "Underscore", "Theme")]
    [InlineData("others", "Atmo", "Street Noise", "Door", "Favourite", "My Song - Atmo")]
    public void SpokenWordNamesGoWhereTheyBelong(string stem, params string[] names) => GoTo(Situation.SpokenWordWithMusicBed, stem, names);

    // One file at a time, beside one that is surely the anchor.
    private static void GoTo(Situation situation, string stem, string[] names)
    {
        var anchor = situation switch { Situation.BassLedWithoutKick => ("bass", "bass"), Situation.SpokenWordWithMusicBed => ("voice", "voice"), _ => ("kick", "kick") };
        var recipe = Recipe.Open(RecipeFile.Of(situation), BuiltInNodes.Catalog, new DiagnosticList())!;
        foreach (var name in names)
        {
            var faults = new DiagnosticList();
            string[] files = stem == anchor.Item1 ? [name + ".wav"] : [anchor.Item2 + ".wav", name + ".wav"];
            var bound = recipe.Bind(new("Song", files), faults);
            Assert.True(bound is not null, $"{name}: {string.Join('\n', faults.InOrder)}");
            Assert.Equal((name, stem), (name, bound.Files.Single(file => file.File == name + ".wav").RecipeStem));
        }
    }
}
