//! The bundle: a library that gives out a factory.

use std::ffi::{CStr, c_char, c_void};
use std::path::{Path, PathBuf};

use libloading::{Library, Symbol};
use vst3::Steinberg::Vst::IComponent;
use vst3::Steinberg::{
    IPluginFactory, IPluginFactory2, IPluginFactory2Trait, IPluginFactory3, IPluginFactory3Trait,
    IPluginFactoryTrait, PClassInfo2, PClassInfoW, PFactoryInfo, TUID, kResultOk,
};
use vst3::{ComPtr, Interface};

use super::{Vst3Insert, wide_text};

/// What a factory says about a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClassInfo {
    /// The id by which songs remember it.
    pub id: [u8; 16],
    /// The name that a person reads.
    pub name: String,
    /// Its category: an audio module.
    pub category: String,
    /// Its subcategories, words between bars.
    pub subcategories: String,
    /// Its maker.
    pub vendor: String,
    /// Its version.
    pub version: String,
    /// The name in UTF-16, which VST3 gives beside the other.
    pub wide_name: String,
}

/// A loaded bundle; never unloaded, for an insert's background thread may outlive it by a moment.
pub struct Module {
    factory: ComPtr<IPluginFactory>,
}

impl Module {
    /// Loads the bundle at `path`, a folder, or a library that exports a VST3 factory.
    /// Panics where it cannot be loaded.
    pub fn load(path: &Path) -> Self {
        let path = library_in(path);
        // SAFETY: loading runs code of the library. It is the one that this workspace built, and the functions are
        // those of the standard.
        unsafe {
            let library = Library::new(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            if let Ok(enter) = library.get::<unsafe extern "C" fn(*mut c_void) -> bool>(b"ModuleEntry\0") {
                assert!(enter(std::ptr::null_mut()), "ModuleEntry refused");
            }
            let factory: Symbol<unsafe extern "system" fn() -> *mut c_void> = library
                .get(b"GetPluginFactory\0")
                .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let factory = ComPtr::from_raw(factory().cast()).expect("no factory");
            std::mem::forget(library);
            Self { factory }
        }
    }

    /// Vendor and flags of the factory.
    pub fn factory(&self) -> (String, i32) {
        // SAFETY: numbers and texts, all of which may be zero; there is room for the answer.
        unsafe {
            let mut info: PFactoryInfo = std::mem::zeroed();
            assert_eq!(self.factory.getFactoryInfo(&raw mut info), kResultOk);
            (text(&info.vendor), info.flags)
        }
    }

    /// What it says about its class `index`, in all three of its ways; `None` where there is no such class.
    pub fn class(&self, index: i32) -> Option<ClassInfo> {
        let second = self.factory.cast::<IPluginFactory2>()?;
        let third = self.factory.cast::<IPluginFactory3>()?;
        // SAFETY: numbers and texts, all of which may be zero; there is room for the answers.
        unsafe {
            let (mut info, mut wide): (PClassInfo2, PClassInfoW) = (std::mem::zeroed(), std::mem::zeroed());
            let found = [
                second.getClassInfo2(index, &raw mut info),
                third.getClassInfoUnicode(index, &raw mut wide),
            ];
            (found == [kResultOk; 2]).then(|| ClassInfo {
                id: info.cid.map(|byte| byte as u8),
                name: text(&info.name),
                category: text(&info.category),
                subcategories: text(&info.subCategories),
                vendor: text(&info.vendor),
                version: text(&info.version),
                wide_name: wide_text(&wide.name.map(|unit| unit as u16)),
            })
        }
    }

    /// Every class.
    pub fn classes(&self) -> Vec<ClassInfo> {
        // SAFETY: a question without an argument.
        let count = unsafe { self.factory.countClasses() };
        (0..count).filter_map(|index| self.class(index)).collect()
    }

    /// A new insert of the class called `name`, on this thread.
    /// Panics where there is none.
    pub fn insert(&self, name: &str) -> Vst3Insert {
        let class = self.classes().into_iter().find(|class| class.name == name);
        let id = class.unwrap_or_else(|| panic!("no class {name}")).id;
        Vst3Insert::new(self.create(id).unwrap_or_else(|| panic!("{name} cannot be made")))
    }

    /// A component of the class `id`, if there is one.
    pub fn create(&self, id: [u8; 16]) -> Option<ComPtr<IComponent>> {
        let mut made = std::ptr::null_mut();
        let interface: TUID = IComponent::IID.map(|byte| byte as c_char);
        // SAFETY: both ids are 16 bytes, and there is room for the answer.
        let result = unsafe {
            self.factory
                .createInstance(id.as_ptr().cast(), interface.as_ptr().cast(), &raw mut made)
        };
        // SAFETY: what the factory made is ours.
        (result == kResultOk).then(|| unsafe { ComPtr::from_raw(made.cast()) })?
    }
}

/// Where the library of a bundle lies on this system.
pub fn library_in(bundle: &Path) -> PathBuf {
    if bundle.is_file() {
        return bundle.into();
    }
    let name = bundle
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let (folder, file) = match std::env::consts::OS {
        "macos" => ("MacOS".to_owned(), name),
        "windows" => (format!("{}-win", std::env::consts::ARCH), format!("{name}.vst3")),
        system => (
            format!("{}-{system}", std::env::consts::ARCH),
            format!("{name}{}", std::env::consts::DLL_SUFFIX),
        ),
    };
    bundle.join("Contents").join(folder).join(file)
}

fn text(text: &[c_char]) -> String {
    let bytes: Vec<u8> = text.iter().map(|&byte| byte as u8).collect();
    CStr::from_bytes_until_nul(&bytes)
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}
