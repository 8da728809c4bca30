using RenderGraph.Cli.Batch;
using Xunit;

namespace RenderGraph.Cli.Tests.Batch;

public sealed class SongListTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void SongsAreNamedByTheirFoldersAndOrderedByName()
    {
        Make("b", "a", "-dash", "with space", "[brackets]", "Żółć 歌");
        var list = Read("b", "a", "-dash", "with space", "[brackets]", "Żółć 歌", "b/", "./a");
        Assert.Equal(["-dash", "[brackets]", "a", "b", "with space", "Żółć 歌"], Names(list));
        Assert.Equal((0, 0), (list.Faults.Count, list.Notes.Count));
    }

    [Fact]
    public void APatternFindsWhatAShellWouldFind()
    {
        Make("set/one", "set/two", "set/.hidden", "set/One", "other/one", "set/b[1]");
        _folder.Write("set/read me.txt", "");
        Assert.Equal(["One", "b[1]", "one", "two"], Names(Read("set/*"), withoutMarks: true));
        Assert.Equal(["one"], Names(Read("set/o?e")));
        Assert.Equal([".hidden"], Names(Read("set/.*")));
        Assert.Equal(["b[1]"], Names(Read("set/b[1*")));
        Assert.Equal(["other - one", "set - one"], Names(Read("*/one")));
    }

    [Fact]
    public void APatternThatMatchesNothingIsAFaultAndAFolderThatIsNotThereIsASong()
    {
        Make("here");
        var list = Read("her?s", "gone", "here");
        Assert.Equal([$"\"{_folder["her?s"]}\" matches no folder. * is any letters of a name and ? is one."], list.Faults);
        Assert.Equal(["gone", "here"], Names(list));
    }

    [Fact]
    public void AFolderWithADifferentLetterCaseIsAnotherSongWithANameOfItsOwn()
    {
        Make("Demo", "demo", "DÉMO", "alone");
        var names = Names(Read("*"));
        Assert.Contains("alone", names);
        Assert.Contains("DÉMO", names);
        Assert.All(names.Where(name => name is not ("alone" or "DÉMO")), name => Assert.Matches("^[Dd]emo~[0-9a-f]{8}$", name));
        Assert.Equal(4, names.Distinct(StringComparer.OrdinalIgnoreCase).Count());

        // Not by their order, and not by who else is there.
        Make("zz");
        Assert.Subset(Names(Read("zz", "demo", "Demo")).ToHashSet(), names.Where(name => name.Contains('~')).ToHashSet());
    }

    [Fact]
    public void EqualNamesAreToldApartByTheFoldersAbove()
    {
        Make("anna/project/stems", "ben/project/stems", "ben/other/stems", "ben/old/project");
        Assert.Equal(["anna - project", "ben - project", "old - project", "other"], Names(Read("*/*/stems", "ben/old/project")));
    }

    [Fact]
    public void FoldersAboveThatGiveTheSameNameOnceMoreAreToldApartByAHash()
    {
        Make("x - y/z", "q/z", "x/y - z", "x/z", "x - y/y - z");
        var names = Names(Read("x - y/z", "q/z", "x/y - z", "x/z", "x - y/y - z"));
        Assert.Equal(5, names.Distinct().Count());
    }

    [Fact]
    public void ResultsAreNeverSongs()
    {
        Make("songs/one", "songs/out/one", "songs/earlier");
        _folder.Write("songs/earlier/batch.2-of-5.json", "{}");
        var list = SongList.Read([_folder["songs/*"]], _folder["songs/out"]);
        Assert.Equal(["one"], Names(list));
        Assert.Equal(
            [$"{_folder["songs/earlier"]} is passed over: it holds the results of a batch.", $"{_folder["songs/out"]} is passed over: results lie there (--out)."], list.Notes);
    }

    [Fact]
    public void ResultsInsideASongAreRefused()
    {
        Make("song");
        var list = SongList.Read([_folder["song"]], _folder["song/out"]);
        Assert.Equal([$"--out {_folder["song/out"]} lies in the song {_folder["song"]}, where results would be taken for stems. Choose a folder outside."], list.Faults);
    }

    [Fact]
    public void AFileIsPassedOver()
    {
        Make("song");
        Assert.Equal([$"{_folder.Write("notes.txt", "")} is passed over: it is a file, and a song is a folder."], Read("song", "notes.txt").Notes);
    }

    [Fact]
    public void NamesThatResultsHaveAndVeryLongNamesAreMarked()
    {
        var name = new string('n', 200);
        Make("batch.json", "Album.txt", $"a/{name}", $"{new string('m', 200)}/{name}");
        var names = Names(Read("batch.json", "Album.txt", $"a/{name}", $"{new string('m', 200)}/{name}"));
        Assert.Matches("^Album.txt~[0-9a-f]{8}$", names[0]);
        Assert.Equal($"a - {name}", names[1]);
        Assert.Matches("^batch.json~[0-9a-f]{8}$", names[2]);
        Assert.Matches("^m{60}~[0-9a-f]{8}$", names[3]);
    }

    private void Make(params string[] folders)
    {
        foreach (var folder in folders)
            Directory.CreateDirectory(_folder[folder]);
    }

    private SongList Read(params string[] songs) => SongList.Read([.. songs.Select(song => _folder[song])], _folder["out"]);

    private static List<string> Names(SongList list, bool withoutMarks = false) =>
        [.. list.Songs.Select(song => withoutMarks && song.Name.Contains('~') ? song.Name[..^9] : song.Name)];
}
