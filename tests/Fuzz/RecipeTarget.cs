using System.Text;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;

namespace RenderGraph.Fuzz;

/// <summary>Recipes and what songs say differently from them: one of the two is a mutant. What is bound must be a graph, in memory as well as written down.</summary>
internal sealed class RecipeTarget : ITarget
{
    private const string SongEnding = ".song.json", RecipeEnding = ".recipe.json";

    private static readonly string[] FileNames =
    [
        "kick.wav", "Kick in.WAV", "kick room.wav", "bd 1.flac", "sub.wav", "DEEP sub 2.aif", "grit.wav", "keys 1.wav", "keys 2.wav", "voice.wav", "click.wav", "stems/voice.wav", "caf\u00E9.wav", "cafe\u0301.wav",
        "[x] *?.wav", "!x.wav", "-x.wav", ".wav", "a.b.c", "\uD800.wav", "\u0301.wav", "\u1112\u1161\u11AB.wav",
    ];

    private static readonly string[] UsualNames = ["kick.wav", "sub.wav", "grit.wav", "keys 1.wav", "keys 2.wav", "voice.wav", "click.wav"];

    private readonly byte[] _rich;
    private readonly Dictionary<string, byte[]> _byName = new(StringComparer.Ordinal);

    public RecipeTarget(string folder)
    {
        // The right ones many times over: what is wrong already is refused whatever is changed.
        var paths = Directory.GetFiles(Path.Combine(folder, "broken"), "*.json").Order(StringComparer.Ordinal).ToList();
        paths.AddRange(Enumerable.Repeat(Directory.GetFiles(folder, "*.json", SearchOption.AllDirectories).Where(path => !path.Contains("broken", StringComparison.Ordinal)).Order(StringComparer.Ordinal), 20).SelectMany(path => path));
        Corpus = paths.ConvertAll(File.ReadAllBytes);
        Names = paths.ConvertAll(path => Path.GetFileName(path) is "recipe.json" ? Path.GetFileName(Path.GetDirectoryName(path)) + RecipeEnding : Path.GetFileName(path));
        for (var index = 0; index < paths.Count; index++)
            _byName[Names[index]] = Corpus[index];
        _rich = _byName["rich" + RecipeEnding];
    }

    public string Name => "recipe";

    public bool IsText => true;

    public IReadOnlyList<byte[]> Corpus { get; }

    public IReadOnlyList<string> Names { get; }

    public Outcome Run(string folder, byte[] mutant, int index, bool isOnlyCut, Dice dice)
    {
        var isSong = Names[index].EndsWith(SongEnding, StringComparison.Ordinal);
        var recipeText = isSong ? _byName.GetValueOrDefault(Names[index].Replace(SongEnding, RecipeEnding, StringComparison.Ordinal), _rich) : mutant;
        var songText = isSong ? mutant : _byName.GetValueOrDefault(Names[index].Replace(RecipeEnding, SongEnding, StringComparison.Ordinal));
        if (!isSong && dice.OneIn(3))
            songText = null;
        var files = (dice.OneIn(2) ? FileNames : UsualNames).Where(_ => !dice.OneIn(5)).ToList();
        var diagnostics = new DiagnosticList();
        var recipe = Recipe.Read("recipe.json", recipeText, BuiltInNodes.Catalog, diagnostics);
        recipe?.Check(new());
        var bound = recipe?.Bind(new("Song", files, songText is null ? null : ("song.json", songText)), diagnostics, dice.OneIn(2) ? "" : "../song/");
        foreach (var found in diagnostics.InOrder)
            Words.Check(found.Sentence, found.Remedy);
        if (bound is null)
            return diagnostics.HasErrors ? Outcome.Refused : throw new BadOutcomeException("refused without an error");
        if (diagnostics.HasErrors)
            throw new BadOutcomeException("bound in spite of an error");

        GraphValidator.Validate(bound.Document, 48000, diagnostics);
        var text = bound.Write();
        var again = new DiagnosticList();
        var written = GraphReader.Read("bound.json", Encoding.UTF8.GetBytes(text), BuiltInNodes.Catalog, again);
        if (written is null || again.HasErrors)
            throw new BadOutcomeException($"what was written is no graph: {again.InOrder[0]}");
        var (memory, disk) = (bound.Document, written);
        if (memory.Title != disk.Title || !memory.Stems.Select(stem => stem.Id).SequenceEqual(disk.Stems.Select(stem => stem.Id)) || !memory.NodesAndSteps.Select(node => node.Id).SequenceEqual(disk.NodesAndSteps.Select(node => node.Id)))
            throw new BadOutcomeException("what was written is another graph");
        return diagnostics.InOrder.Count > 0 ? Outcome.Told : Outcome.Taken;
    }
}
