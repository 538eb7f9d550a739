/** Fills a position field with the browser's own location, when asked. Nothing is sent anywhere. */
for (const press of document.querySelectorAll("[data-here]")) {
  const said = press.form.querySelector("[data-here-said]");
  const field = document.getElementById(press.dataset.here);
  if (!navigator.geolocation || !field) continue;
  press.hidden = false;
  press.addEventListener("click", () => {
    said.textContent = "Asking the device …";
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        const metres = Math.round(coords.accuracy);
        // RFC 5870: the uncertainty goes along, so that a rough position can be refused in words.
        field.value = `geo:${coords.latitude.toFixed(6)},${coords.longitude.toFixed(6)};u=${metres}`;
        said.textContent = `Found, to within ${metres} m. Press Keep to use it.`;
      },
      () => {
        said.textContent = "The device did not say where it is. What stood in the field is still there.";
      },
      { enableHighAccuracy: true, timeout: 15000 },
    );
  });
}
