export { WebGLRenderer, Scene, PerspectiveCamera, Mesh, BufferGeometry, BufferAttribute, MeshLambertMaterial, HemisphereLight, DirectionalLight, Color, InstancedMesh, Matrix4, Vector3, Group, Line, LineBasicMaterial, SphereGeometry, DoubleSide, SRGBColorSpace, MeshBasicMaterial } from "three";
export { OrbitControls } from "three/addons/controls/OrbitControls.js";
